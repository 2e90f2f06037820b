# METADATA
# title: "The old crew has handed the bore over"
# description: "After a new shift was reported, the old crew has walked the bore with the new one."
# related_resources:
# - ref: "common practice, no source"
#   description: "Hand a running bore over on foot, with depths, holds and marks"
# custom:
#   id: "drilling.handover"
#   order: 10
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: "common practice, no source"
#   title:
#     es: "El turno anterior entregó la perforación"
#   stop:
#     en: "The bore is not handed over to this shift."
#     es: "La perforación no está entregada a este turno."
#   why:
#     en: "The crew that drilled so far knows where the head sits and what went wrong on the way. What is not said at the handover is found out by the drill bit."
#     es: "El turno que perforó hasta ahora sabe dónde está la cabeza y qué salió mal en el camino. Lo que no se dice en la entrega lo encuentra la broca."
#   remedy:
#     en: "Walk the bore with somebody from the old crew, or call them and go through the log."
#     es: "Camina la perforación con alguien del turno anterior, o llámale y revisen juntos el registro."
#   asks:
#   - id: "handover_done"
#     kind: "yesno"
#     label:
#       en: "handed over by the old crew"
#       es: "entregada por el turno anterior"
#     redo_after: ["new_shift"]
#     prompt:
#       en: "Has the old crew walked the bore with you and told you depths, holds and marks?"
#       es: "¿El turno anterior caminó la perforación contigo y te dijo profundidades, paros y marcas?"
package checks.base.drilling.handover

exempt if input.drilling.new_shift == 0

pass if input.handover_done == true
