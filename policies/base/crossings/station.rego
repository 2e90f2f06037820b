# METADATA
# title: "It is known where along the bore each line is crossed"
# description: "The distance from the entry to the crossed line is given."
# related_resources:
# - ref: "20VAC5-309-150"
#   description: "Virginia, requirement for trenchless excavation: a state rule that names the locating device; chosen as a good rule elsewhere too"
# custom:
#   id: "crossings.station"
#   order: 745
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   each: "crossing"
#   status: ""
#   title:
#     es: "Se sabe en qué punto de la perforación se cruza cada línea"
#   stop:
#     en: "{crossing}: nobody has said how far from the entry it is crossed."
#     es: "{crossing}: nadie ha dicho a qué distancia de la entrada se cruza."
#   why:
#     en: "The driller counts rods, not paint. Only with the distance from the entry does he know at which rod the line comes."
#     es: "El operador cuenta barras, no pintura. Solo con la distancia desde la entrada sabe en qué barra viene la línea."
#   remedy:
#     en: "Tape from the entry to the open hole at {crossing}."
#     es: "Mide con cinta de la entrada al hoyo abierto en {crossing}."
#   asks:
#   - id: "station"
#     kind: "length"
#     label:
#       en: "distance from the entry"
#       es: "distancia desde la entrada"
#     unit: "ft"
#     min: "1 ft"
#     max: "5000 ft"
#     outside: "ask"
#     together: "geometry"
#     lead:
#       en: "{crossing}, at the open hole: distance from the entry, depth to the centre of the line, its outside diameter, planned depth to the centre of the bore right there, and how far to each side of its marks was dug by hand or vacuum only?"
#       es: "{crossing}, en el hoyo abierto: ¿distancia desde la entrada, profundidad al centro de la línea, su diámetro exterior, profundidad planeada al centro de la perforación ahí mismo, y hasta qué distancia a cada lado de sus marcas se excavó solo a mano o con vacío?"
#     prompt:
#       en: "{crossing}: how far from the entry, along the bore?"
#       es: "{crossing}: ¿a qué distancia de la entrada, a lo largo?"
package checks.base.crossings.station

pass if input.crossing.station > 0
