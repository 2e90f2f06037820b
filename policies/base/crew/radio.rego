# METADATA
# title: "Rig and locating hand hear each other"
# description: "The radio was tried in this shift from the far end of the path."
# related_resources:
# - ref: "common practice, no source"
#   description: "Radio check from the far end of the path before drilling"
# custom:
#   id: "crew.radio"
#   order: 240
#   severity: "stop"
#   gate: "release"
#   waivable: true
#   status: "common practice, no source"
#   title:
#     es: "La máquina y el localizador se oyen"
#   stop:
#     en: "Rig and locating hand do not hear each other."
#     es: "La máquina y el localizador no se oyen."
#   why:
#     en: "Every steering word and every stop goes over the radio. A call that is lost at the far end is lost just where the lines are."
#     es: "Cada orden de dirección y cada paro va por el radio. Una llamada que se pierde en el otro extremo se pierde justo donde están las líneas."
#   remedy:
#     en: "Charge or change the radio and check again from the far end."
#     es: "Carga o cambia el radio y prueba otra vez desde el otro extremo."
#   asks:
#   - id: "radio_checked"
#     kind: "yesno"
#     label:
#       en: "radio answered"
#       es: "radio contestó"
#     together: "tested"
#     good_for: "12 h"
#     redo_after: ["new_shift"]
#     prompt:
#       en: "Did the rig answer on the radio from the far end?"
#       es: "¿Contestó la máquina por radio desde el otro extremo?"
package checks.base.crew.radio

pass if input.radio_checked == true
