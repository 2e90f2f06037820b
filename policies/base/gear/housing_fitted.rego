# METADATA
# title: "The transmitter is in its drilling housing"
# description: "The transmitter lies in the housing it is drilled with, closed as for drilling."
# related_resources:
# - ref: "common practice, no source"
#   description: "Calibrate in the housing used for the bore"
# custom:
#   id: "gear.housing_fitted"
#   order: 360
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: "common practice, no source"
#   title:
#     es: "El transmisor está en su carcasa de perforar"
#   stop:
#     en: "The transmitter is not in the housing it will drill in."
#     es: "El transmisor no está en la carcasa con la que va a perforar."
#   why:
#     en: "A steel housing swallows part of the signal, and the slots decide how much. A housing that takes 3 dB makes every depth read 12 % too deep if it was not there at the calibration."
#     es: "Una carcasa de acero se traga parte de la señal, y las ranuras deciden cuánta. Una carcasa que quita 3 dB hace leer toda profundidad 12 % de más si no estaba en la calibración."
#   remedy:
#     en: "Put the transmitter in the housing, close it as for drilling, and tell me."
#     es: "Mete el transmisor en la carcasa, ciérrala como para perforar y dime."
#   asks:
#   - id: "in_housing"
#     kind: "yesno"
#     label:
#       en: "transmitter in its housing"
#       es: "transmisor en su carcasa"
#     together: "rigfree"
#     lead:
#       en: "At the housing, on the ground where you calibrate: is the transmitter in it, closed and pinned? Is it off the rig, with no rod on it? And what serial does the steel show?"
#       es: "En la carcasa, en el suelo donde calibras: ¿está el transmisor adentro, cerrada y con su seguro? ¿Está fuera de la máquina, sin barra? ¿Y qué serie muestra el acero?"
#     redo_after: ["gear_change", "hard_impact", "failed_depth_check"]
#     prompt:
#       en: "Is the transmitter in the housing you drill with, closed and pinned?"
#       es: "¿Está el transmisor en la carcasa con la que perforas, cerrada y con su seguro?"
package checks.base.gear.housing_fitted

pass if input.in_housing == true
