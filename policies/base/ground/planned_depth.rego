# METADATA
# title: "The deepest point of the bore is known"
# description: "The planned depth at the deepest point is on record."
# related_resources:
# - ref: "common practice, no source"
#   description: "Choose frequency and power for the deepest point"
# custom:
#   id: "ground.planned_depth"
#   order: 405
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: "common practice, no source"
#   title:
#     es: "Se sabe el punto más profundo"
#   stop:
#     en: "The planned depth is {planned_depth}; a bore lies deeper than the surface."
#     es: "La profundidad planeada es {planned_depth}; una perforación va más abajo que la superficie."
#   why:
#     en: "Signal falls with the cube of distance: at twice the depth it is 18 dB weaker. Noise and the doubt of a reading are judged at this depth, where both are worst."
#     es: "La señal cae con el cubo de la distancia: al doble de profundidad es 18 dB más débil. El ruido y la duda de una lectura se juzgan a esta profundidad, donde son peores."
#   remedy:
#     en: "Take the deepest point off the bore plan."
#     es: "Toma el punto más profundo del plan de perforación."
#   asks:
#   - id: "planned_depth"
#     kind: "length"
#     label:
#       en: "deepest point planned"
#       es: "punto más hondo planeado"
#     unit: "ft"
#     min: "1 ft"
#     max: "100 ft"
#     outside: "ask"
#     prompt:
#       en: "How deep is the deepest point, from the surface to the centre of the bore?"
#       es: "¿Qué profundidad tiene el punto más profundo, de la superficie al centro de la perforación?"
package checks.base.ground.planned_depth

pass if {
	is_number(input.planned_depth)
	input.planned_depth > 0
}
