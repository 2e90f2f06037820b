# METADATA
# title: "The strike alarm works"
# description: "The electric strike alarm was tested in this shift and sounded."
# related_resources:
# - ref: "common practice, no source"
#   description: "Test the electric strike alarm before every bore"
# custom:
#   id: "crew.strike_alarm"
#   order: 220
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: "common practice, no source"
#   title:
#     es: "La alarma de contacto eléctrico funciona"
#   stop:
#     en: "The strike alarm has not sounded in a test."
#     es: "La alarma de contacto eléctrico no sonó en una prueba."
#   why:
#     en: "When the rods touch a live cable, the rig and the ground round it go live, and only the alarm tells you. Whoever steps off then gets the voltage from foot to foot."
#     es: "Cuando las barras tocan un cable vivo, la máquina y el suelo alrededor quedan con corriente, y solo la alarma te avisa. Quien se baja entonces recibe el voltaje de pie a pie."
#   remedy:
#     en: "Set the stake and test again; if it stays silent, do not drill with this rig."
#     es: "Clava la estaca y prueba otra vez; si no suena, no perfores con esta máquina."
#   asks:
#   - id: "strike_alarm_tested"
#     kind: "yesno"
#     label:
#       en: "strike alarm sounded"
#       es: "alarma de golpe sonó"
#     together: "tested"
#     lead:
#       en: "Test now, one of you at the rig and one at the far end. Yes or no for each: strike alarm sounded, remote stop halted thrust and rotation, rig answered on the radio?"
#       es: "Prueben ahora, uno en la máquina y uno en el otro extremo. Sí o no para cada uno: ¿sonó la alarma de contacto eléctrico, el paro remoto detuvo empuje y rotación, la máquina contestó por radio?"
#     good_for: "12 h"
#     redo_after: ["new_shift"]
#     prompt:
#       en: "Did the strike alarm sound?"
#       es: "¿Sonó la alarma de contacto eléctrico?"
package checks.base.crew.strike_alarm

pass if input.strike_alarm_tested == true
