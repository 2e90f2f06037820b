# METADATA
# title: "The planned depth lies within what the transmitter is made for"
# description: "The deepest point planned is no deeper than the depth that the maker gives for this transmitter."
# related_resources:
# - ref: "20VAC5-309-150"
#   description: "Virginia, trenchless excavation: the device that locates the head works properly and within its specification before the bore starts"
# custom:
#   id: "gear.within_rating"
#   order: 406
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: ""
#   title:
#     es: "La profundidad planeada está dentro de lo que da el transmisor"
#   stop:
#     en: "Planned are {planned_depth}; this transmitter is made for {rated_depth}."
#     es: "Se planean {planned_depth}; este transmisor es para {rated_depth}."
#   why:
#     en: "Below its rated depth a transmitter still shows numbers, and they are the ones nobody stands behind. That it reads true is proved at the marks; how deep it may be trusted stands in its book."
#     es: "Más abajo de su profundidad nominal un transmisor sigue marcando números, y por esos nadie responde. Que lee bien se prueba en las marcas; hasta dónde se le puede creer lo dice su manual."
#   remedy:
#     en: "Take a transmitter made for this depth, or plan the bore less deep."
#     es: "Usa un transmisor para esta profundidad, o planea la perforación menos honda."
#   asks:
#   - id: "rated_depth"
#     kind: "length"
#     label:
#       en: "rated depth of the transmitter"
#       es: "profundidad nominal del transmisor"
#     unit: "ft"
#     min: "1 ft"
#     max: "200 ft"
#     outside: "ask"
#     redo_after: ["gear_change"]
#     prompt:
#       en: "For what depth is this transmitter made, by its book?"
#       es: "¿Para qué profundidad está hecho este transmisor, según su manual?"
package checks.va.gear.within_rating

pass if {
	is_number(input.planned_depth)
	is_number(input.rated_depth)
	input.planned_depth <= input.rated_depth
}
