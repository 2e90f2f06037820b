# METADATA
# title: "Every frequency is calibrated"
# description: "A receiver that is not linked was calibrated on this frequency."
# related_resources:
# - ref: "common practice, no source"
#   description: "Calibrate every frequency used down the hole"
# custom:
#   id: "calibration.each_frequency"
#   order: 560
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   each: "frequency"
#   status: "common practice, no source"
#   title:
#     es: "Cada frecuencia está calibrada"
#   stop:
#     en: "{frequency} is not calibrated."
#     es: "{frequency} no está calibrada."
#   why:
#     en: "Wet or salty ground takes more from one frequency than from another: in wet clay 32 kHz can read 3 % short at 15 ft where 8 kHz is 0.6 % short. Each frequency has its own strength, so each needs its own calibration."
#     es: "El suelo mojado o salado le quita más a una frecuencia que a otra: en barro mojado 32 kHz puede leer 3 % de menos a 15 pies donde 8 kHz lee 0.6 % de menos. Cada frecuencia tiene su propia fuerza, así que cada una necesita su calibración."
#   remedy:
#     en: "Set both units to {frequency} and calibrate."
#     es: "Pon los dos equipos en {frequency} y calibra."
#   asks:
#   - id: "calibrated"
#     kind: "yesno"
#     label:
#       en: "calibrated"
#       es: "calibrada"
#     redo_after: ["gear_change", "frequency_change", "power_change", "hard_impact"]
#     prompt:
#       en: "{frequency}: calibrate now. Did the receiver say that it is done?"
#       es: "{frequency}: calibra ahora. ¿El receptor dijo que terminó?"
package checks.base.calibration.each_frequency

exempt if input.receiver_linked == true

pass if input.frequency.calibrated == true
