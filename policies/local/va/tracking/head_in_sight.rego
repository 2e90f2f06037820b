# METADATA
# title: "The head is seen as it passes an open hole"
# description: "Somebody looks into each open hole and sees the head pass."
# related_resources:
# - ref: "20VAC5-309-150"
#   description: "Virginia, trenchless excavation: look at the drill head at potholes, entrance and exit"
# custom:
#   id: "tracking.head_in_sight"
#   order: 920
#   severity: "stop"
#   gate: "drilling"
#   waivable: false
#   status: ""
#   title:
#     es: "La cabeza se ve al pasar un hoyo abierto"
#   stop:
#     en: "The head went past an open hole and nobody saw it."
#     es: "La cabeza pasó por un hoyo abierto y nadie la vio."
#   why:
#     en: "The screen says where the head should be, and only an eye says where it is. A head that does not come is somewhere else, perhaps in the line."
#     es: "La pantalla dice dónde debe estar la cabeza, y solo un ojo dice dónde está. Una cabeza que no llega está en otro lado, quizá en la línea."
#   remedy:
#     en: "Stop the rods, pull back to before the hole, and watch it come."
#     es: "Paren las barras, regresen hasta antes del hoyo, y miren cómo llega."
#   asks:
#   - id: "head_in_sight"
#     kind: "yesno"
#     label:
#       en: "head seen at the hole"
#       es: "cabeza vista en el hoyo"
#     prompt:
#       en: "Do you see the head pass in the open hole?"
#       es: "¿Ves pasar la cabeza en el hoyo abierto?"
package checks.va.tracking.head_in_sight

pass if input.head_in_sight == true
