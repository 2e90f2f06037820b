# METADATA
# title: "Stakes and ground rods stand clear of marked lines"
# description: "Every stake and ground rod of the rig stands at least the limit and the width of the line away from the marks."
# related_resources:
# - ref: "20VAC5-309-150"
#   description: "Virginia, trenchless excavation: stakes and ground rods at least 24 in plus the width of the line away from the marks"
# custom:
#   id: "ground.stakes_clear"
#   order: 455
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: ""
#   title:
#     es: "Estacas y varillas de tierra lejos de las líneas marcadas"
#   stop:
#     en: "The nearest stake or ground rod is {stake_distance} from the marks of a line {stake_line} wide; {params.ground.stake_distance} and the width of the line are needed."
#     es: "La estaca o varilla más cercana está a {stake_distance} de las marcas de una línea de {stake_line} de ancho; se necesitan {params.ground.stake_distance} y el ancho de la línea."
#   why:
#     en: "An anchor stake goes down by force, and nobody sees what it meets. In a line it is a strike before the first rod turns."
#     es: "Una estaca de anclaje baja a golpes, y nadie ve con qué topa. En una línea es un golpe antes de que gire la primera barra."
#   remedy:
#     en: "Pull the stake or rod, look whether the line was touched, and set it farther away."
#     es: "Saca la estaca o varilla, revisa si la línea fue tocada, y ponla más lejos."
#   asks:
#   - id: "stake_distance"
#     kind: "length"
#     label:
#       en: "stake to nearest marks"
#       es: "estaca a marcas más cercanas"
#     unit: "ft"
#     min: "0 ft"
#     max: "500 ft"
#     outside: "ask"
#     together: "stakes"
#     lead:
#       en: "Anchor stakes and ground rods: how far is the nearest one from the marks of a line, and how wide is that line?"
#       es: "Estacas de anclaje y varillas de tierra: ¿a qué distancia de las marcas de una línea está la más cercana, y qué ancho tiene esa línea?"
#     prompt:
#       en: "How far is the nearest stake or ground rod from the marks of a line?"
#       es: "¿A qué distancia de las marcas de una línea está la estaca o varilla de tierra más cercana?"
#   - id: "stake_line"
#     kind: "length"
#     label:
#       en: "width of that line"
#       es: "ancho de esa línea"
#     unit: "in"
#     min: "0.1 in"
#     max: "120 in"
#     outside: "ask"
#     together: "stakes"
#     prompt:
#       en: "How wide is that line, outside?"
#       es: "¿Qué ancho tiene esa línea, por fuera?"
package checks.va.ground.stakes_clear

pass if {
	is_number(input.stake_distance)
	is_number(input.stake_line)
	input.stake_distance >= data.params.ground.stake_distance_um + input.stake_line
}
