# METADATA
# title: "The linked receiver is calibrated in one pass"
# description: "A linked receiver went through all frequencies in one pass and says that it is done."
# related_resources:
# - ref: "common practice, no source"
#   description: "A linked receiver calibrates all frequencies in one pass"
# custom:
#   id: "calibration.one_pass"
#   order: 550
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: "common practice, no source"
#   title:
#     es: "El receptor enlazado está calibrado en una pasada"
#   stop:
#     en: "The one-pass calibration is not done."
#     es: "La calibración en una pasada no está hecha."
#   why:
#     en: "In one pass receiver and transmitter do not move, so all frequencies share one distance. A pass broken off halfway leaves some frequencies on their old values without a word."
#     es: "En una pasada el receptor y el transmisor no se mueven, y todas las frecuencias comparten la misma distancia. Una pasada cortada a medias deja algunas frecuencias con su valor viejo, sin avisar."
#   remedy:
#     en: "Run the calibration again until the receiver says it is done."
#     es: "Corre la calibración otra vez hasta que el receptor diga que terminó."
#   asks:
#   - id: "calibrated_in_one_pass"
#     kind: "yesno"
#     label:
#       en: "all calibrated in one pass"
#       es: "todas calibradas en una pasada"
#     redo_after: ["gear_change", "frequency_change", "power_change", "hard_impact"]
#     prompt:
#       en: "Calibrate now, all frequencies in one pass. Did the receiver say that it is done?"
#       es: "Calibra ahora, todas las frecuencias en una pasada. ¿El receptor dijo que terminó?"
package checks.base.calibration.one_pass

exempt if input.receiver_linked == false

pass if input.calibrated_in_one_pass == true
