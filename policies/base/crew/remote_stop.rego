# METADATA
# title: "The remote stop works"
# description: "The locating hand can stop thrust and rotation from where the head is, and tried it in this shift."
# related_resources:
# - ref: "common practice, no source"
#   description: "Try the remote stop at the far end of the path before drilling"
# custom:
#   id: "crew.remote_stop"
#   order: 230
#   severity: "stop"
#   gate: "release"
#   waivable: true
#   status: "common practice, no source"
#   title:
#     es: "El paro remoto funciona"
#   stop:
#     en: "The remote stop has not stopped the rig."
#     es: "El paro remoto no detuvo la máquina."
#   why:
#     en: "The person over the head sees the trouble, and the person at the rig makes it. A stop in the hand that sees is faster than any radio."
#     es: "Quien va sobre la cabeza ve el problema, y quien está en la máquina lo causa. Un paro en la mano del que ve es más rápido que cualquier radio."
#   remedy:
#     en: "Change the battery of the remote and try again from the far end."
#     es: "Cambia la pila del control y prueba otra vez desde el otro extremo."
#   asks:
#   - id: "remote_stop_tested"
#     kind: "yesno"
#     label:
#       en: "remote stop works"
#       es: "paro remoto funciona"
#     together: "tested"
#     good_for: "12 h"
#     redo_after: ["new_shift"]
#     prompt:
#       en: "Did the remote stop halt thrust and rotation from the far end?"
#       es: "¿El paro remoto detuvo empuje y rotación desde el otro extremo?"
package checks.base.crew.remote_stop

pass if input.remote_stop_tested == true
