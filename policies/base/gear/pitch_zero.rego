# METADATA
# title: "Pitch reads true when turned end for end"
# description: "Half the sum of two pitch readings, the second with the housing turned end for end, is within the limit."
# related_resources:
# - ref: "common practice, no source"
#   description: "Reversal: read, turn end for end on the same marks, read again; half the sum is the sensor's own fault"
# custom:
#   id: "gear.pitch_zero"
#   order: 390
#   severity: "stop"
#   gate: "release"
#   waivable: true
#   status: "common practice, no source"
#   title:
#     es: "La inclinación sale igual al voltear la carcasa"
#   stop:
#     en: "Pitch is off by {derived.pitch_bias}; no more than {params.gear.pitch_bias} is allowed. By pitch alone that is {derived.pitch_drift} of depth over {planned_length}, good to {derived.pitch_drift_expanded}."
#     es: "La inclinación falla por {derived.pitch_bias}; no se permite más de {params.gear.pitch_bias}. Solo por inclinación son {derived.pitch_drift} de profundidad en {planned_length}, seguro a {derived.pitch_drift_expanded}."
#   good:
#     en: "The pitch zero is off by {derived.pitch_bias}; {params.gear.pitch_bias} allowed. By pitch alone that is {derived.pitch_drift} of depth over {planned_length}, good to {derived.pitch_drift_expanded}."
#     es: "El cero de inclinación falla por {derived.pitch_bias}; se permite {params.gear.pitch_bias}. Solo por inclinación son {derived.pitch_drift} de profundidad en {planned_length}, seguro a {derived.pitch_drift_expanded}."
#   why:
#     en: "Turned end for end on the same spot, a true sensor shows the same slope with the other sign; half the sum is its own fault. A fault of 0.1 % puts the bore 0.3 ft off over 300 ft."
#     es: "Volteado en el mismo lugar, un sensor bueno muestra la misma pendiente con el signo contrario; la mitad de la suma es su propia falla. Una falla de 0.1 % desvía la perforación 0.3 pies en 300 pies."
#   remedy:
#     en: "Clean the housing, read both ways again on firm ground; if it stays, use another transmitter."
#     es: "Limpia la carcasa y lee otra vez de los dos lados en suelo firme; si sigue, usa otro transmisor."
#   asks:
#   - id: "pitch_first"
#     kind: "percent"
#     label:
#       en: "pitch, first way"
#       es: "inclinación, primera vuelta"
#     unit: "%"
#     min: "-20 %"
#     max: "20 %"
#     together: "pitch"
#     lead:
#       en: "Lay the housing on firm ground, mark both ends and read pitch. Turn it end for end on the same marks, same roll, and read again. Both readings? Nose up is plus, nose down minus."
#       es: "Pon la carcasa en suelo firme, marca los dos extremos y lee la inclinación. Voltéala sobre las mismas marcas, mismo giro, y lee otra vez. ¿Las dos lecturas? Punta arriba es más, punta abajo menos."
#     redo_after: ["gear_change", "hard_impact"]
#     prompt:
#       en: "Pitch, first way round?"
#       es: "¿Inclinación, primera posición?"
#   - id: "pitch_reversed"
#     kind: "percent"
#     label:
#       en: "pitch, turned round"
#       es: "inclinación, volteado"
#     unit: "%"
#     min: "-20 %"
#     max: "20 %"
#     together: "pitch"
#     redo_after: ["gear_change", "hard_impact"]
#     prompt:
#       en: "Pitch, turned end for end?"
#       es: "¿Inclinación, volteada?"
package checks.base.gear.pitch_zero

pass if {
	is_number(input.derived.pitch_bias_ppm)
	abs(input.derived.pitch_bias_ppm) <= data.params.gear.pitch_bias_ppm
}
