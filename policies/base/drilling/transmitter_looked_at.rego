# METADATA
# title: "Transmitter and housing are whole"
# description: "After a hard impact or a failed depth check, transmitter and housing were looked at and are whole."
# related_resources:
# - ref: "common practice, no source"
#   description: "Look at transmitter and housing after a hard hit or a failed depth check, then calibrate again"
# custom:
#   id: "drilling.transmitter_looked_at"
#   order: 20
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: "common practice, no source"
#   title:
#     es: "El transmisor y la carcasa están enteros"
#   stop:
#     en: "Transmitter or housing is damaged, or nobody has looked."
#     es: "El transmisor o la carcasa tiene daño, o nadie los revisó."
#   why:
#     en: "A hit can crack the coil or shift it in the housing, and the transmitter still sends. Then the signal is no longer the one you calibrated, and every depth is off by the same share."
#     es: "Un golpe puede agrietar la bobina o moverla dentro de la carcasa, y el transmisor sigue transmitiendo. Entonces la señal ya no es la que calibraste, y toda profundidad sale mal en la misma proporción."
#   remedy:
#     en: "Put in a sound transmitter or housing, and report the gear change."
#     es: "Pon un transmisor o una carcasa en buen estado, y reporta el cambio de equipo."
#   asks:
#   - id: "transmitter_whole"
#     kind: "yesno"
#     label:
#       en: "transmitter and housing whole"
#       es: "transmisor y carcasa enteros"
#     redo_after: ["hard_impact", "failed_depth_check"]
#     prompt:
#       en: "Take the transmitter out and look. Are transmitter and housing whole: no crack, no water, no bend, caps tight?"
#       es: "Saca el transmisor y míralo. ¿Están enteros el transmisor y la carcasa: sin grietas, sin agua, sin dobleces, tapas firmes?"
package checks.base.drilling.transmitter_looked_at

exempt if {
	input.drilling.hard_impact == 0
	input.drilling.failed_depth_check == 0
}

pass if input.transmitter_whole == true
