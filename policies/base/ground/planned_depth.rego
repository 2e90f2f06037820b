# METADATA
# title: "The deepest point and the length of the bore are known"
# description: "The planned depth at the deepest point and the planned length are on record."
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
#     es: "Se sabe el punto más profundo y el largo"
#   stop:
#     en: "The planned depth is {planned_depth}, the length {planned_length}; a bore lies deeper than the surface and has a length."
#     es: "La profundidad planeada es {planned_depth}, el largo {planned_length}; una perforación va más abajo que la superficie y tiene un largo."
#   why:
#     en: "Signal falls with the cube of distance: at twice the depth it is 18 dB weaker. Noise and the doubt of a reading are judged at this depth, where both are worst. What a pitch zero is off by adds up over the length."
#     es: "La señal cae con el cubo de la distancia: al doble de profundidad es 18 dB más débil. El ruido y la duda de una lectura se juzgan a esta profundidad, donde son peores. La falla del cero de inclinación se acumula a lo largo."
#   remedy:
#     en: "Take the deepest point and the length off the bore plan."
#     es: "Toma el punto más profundo y el largo del plan de perforación."
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
#     together: "plan"
#     lead:
#       en: "Off the bore plan: how deep is the deepest point, from the surface to the centre of the bore; how long is the bore; and must it hold a grade, as a gravity sewer must: yes or no?"
#       es: "Del plan de perforación: ¿qué profundidad tiene el punto más profundo, de la superficie al centro de la perforación; qué largo tiene la perforación; y debe llevar una pendiente, como un drenaje por gravedad: sí o no?"
#     prompt:
#       en: "How deep is the deepest point, from the surface to the centre of the bore?"
#       es: "¿Qué profundidad tiene el punto más profundo, de la superficie al centro de la perforación?"
#   - id: "planned_length"
#     kind: "length"
#     label:
#       en: "length of the bore"
#       es: "largo de la perforación"
#     unit: "ft"
#     min: "10 ft"
#     max: "5000 ft"
#     outside: "ask"
#     together: "plan"
#     prompt:
#       en: "How long is the bore?"
#       es: "¿Qué largo tiene la perforación?"
#   - id: "grade_wanted"
#     kind: "yesno"
#     label:
#       en: "must hold a grade"
#       es: "debe llevar pendiente"
#     together: "plan"
#     prompt:
#       en: "Must the bore hold a grade, as a gravity sewer must?"
#       es: "¿Debe la perforación llevar una pendiente, como un drenaje por gravedad?"
package checks.base.ground.planned_depth

pass if {
	is_number(input.planned_depth)
	input.planned_depth > 0
	is_number(input.planned_length)
	input.planned_length > 0
}
