# METADATA
# title: "Metal was looked for"
# description: "A distance to the nearest metal was given."
# related_resources:
# - ref: "common practice, no source"
#   description: "A rule of a pack that is there for a test"
# custom:
#   id: "ground.metal_told"
#   order: 411
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: "common practice, no source"
#   title:
#     es: "Se buscó metal"
#   stop:
#     en: "Nobody said how far the nearest metal is."
#     es: "Nadie dijo a qué distancia está el metal más cercano."
#   why:
#     en: "What was not looked for was not seen."
#     es: "Lo que no se buscó no se vio."
#   remedy:
#     en: "Look, and give the distance."
#     es: "Mira, y da la distancia."
package checks.az.ground.metal_told

pass if {
	is_number(input.metal_distance)
	input.metal_distance > 0
}
