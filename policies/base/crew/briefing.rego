# METADATA
# title: "The whole crew was briefed"
# description: "The crew has talked through the hazards of this bore in this shift."
# related_resources:
# - ref: "OSHA Safety and Health Information Bulletin, Avoiding Underground Utilities during Horizontal Directional Drilling Operations"
#   description: "Walk the path, look for signs of lines and for interference, pothole, plan for fire and gas"
# custom:
#   id: "crew.briefing"
#   order: 210
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: ""
#   title:
#     es: "Toda la cuadrilla tuvo su plática"
#   stop:
#     en: "The crew has not been briefed for this shift."
#     es: "La cuadrilla no ha tenido su plática de este turno."
#   why:
#     en: "When a line is hit there are seconds, and everybody must already know who stops, who calls and where to walk. In 2013 a gas line hit by a directional drill blew up a building and killed one person."
#     es: "Cuando se golpea una línea hay segundos, y todos deben saber ya quién para, quién llama y hacia dónde caminar. En 2013 una línea de gas golpeada por una perforadora hizo explotar un edificio y murió una persona."
#   remedy:
#     en: "Call everybody together and go through lines, stop signal, gas, power and the meeting point."
#     es: "Junta a todos y repasa líneas, señal de paro, gas, corriente y punto de reunión."
#   asks:
#   - id: "briefing_held"
#     kind: "yesno"
#     label:
#       en: "briefing held"
#       es: "plática hecha"
#     good_for: "12 h"
#     redo_after: ["new_shift"]
#     prompt:
#       en: "Has the whole crew talked this bore through in this shift: lines, stop signal, who calls, where to meet?"
#       es: "¿Toda la cuadrilla habló de esta perforación en este turno: líneas, señal de paro, quién llama, dónde reunirse?"
package checks.base.crew.briefing

pass if input.briefing_held == true
