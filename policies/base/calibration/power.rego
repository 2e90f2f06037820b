# METADATA
# title: "Calibrated at the power it drills with"
# description: "On this frequency the transmitter was calibrated at the power level that it will use down the hole."
# related_resources:
# - ref: "common practice, no source"
#   description: "Calibrate at the power level used down the hole"
# custom:
#   id: "calibration.power"
#   order: 570
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   each: "frequency"
#   status: "common practice, no source"
#   title:
#     es: "Calibrado con la potencia con que perfora"
#   stop:
#     en: "{frequency} drills on {frequency.downhole_power} power and was calibrated on {frequency.calibrated_power}."
#     es: "{frequency} perfora con potencia {frequency.downhole_power} y se calibró con {frequency.calibrated_power}."
#   why:
#     en: "The receiver knows nothing but strength: a transmitter that sends 3 dB less than at the calibration reads 12 % too deep. You would think you have cover that is not there."
#     es: "El receptor no conoce más que la fuerza: un transmisor que manda 3 dB menos que en la calibración se lee 12 % de más. Creerías tener una cubierta que no existe."
#   remedy:
#     en: "Set the power for drilling and calibrate {frequency} again."
#     es: "Pon la potencia de perforar y calibra {frequency} otra vez."
#   asks:
#   - id: "downhole_power"
#     kind: "choice"
#     label:
#       en: "power for drilling"
#       es: "potencia para perforar"
#     together: "power"
#     lead:
#       en: "{frequency}: leave all as it stands at the baseline. Power for drilling, power when you calibrated (low, normal, high), and signal shown in dB?"
#       es: "{frequency}: deja todo como está en la línea base. ¿Potencia para perforar, potencia al calibrar (baja, normal, alta), y señal en dB?"
#     redo_after: ["gear_change", "frequency_change", "power_change"]
#     means: "power_change"
#     options:
#     - id: "low"
#       label: {en: "low", es: "baja"}
#       words: ["lo", "bajo"]
#     - id: "normal"
#       label: {en: "normal", es: "normal"}
#       words: ["standard", "medium", "media"]
#     - id: "high"
#       label: {en: "high", es: "alta"}
#       words: ["hi", "alto"]
#     prompt:
#       en: "{frequency}: power for drilling? Low, normal, high."
#       es: "{frequency}: ¿potencia para perforar? Baja, normal, alta."
#   - id: "calibrated_power"
#     kind: "choice"
#     label:
#       en: "power when calibrated"
#       es: "potencia al calibrar"
#     together: "power"
#     redo_after: ["gear_change", "frequency_change", "power_change", "hard_impact"]
#     options:
#     - id: "low"
#       label: {en: "low", es: "baja"}
#       words: ["lo", "bajo"]
#     - id: "normal"
#       label: {en: "normal", es: "normal"}
#       words: ["standard", "medium", "media"]
#     - id: "high"
#       label: {en: "high", es: "alta"}
#       words: ["hi", "alto"]
#     prompt:
#       en: "{frequency}: power when you calibrated?"
#       es: "{frequency}: ¿potencia al calibrar?"
package checks.base.calibration.power

pass if {
	is_string(input.frequency.calibrated_power)
	trim_space(input.frequency.calibrated_power) != ""
	input.frequency.calibrated_power == input.frequency.downhole_power
}
