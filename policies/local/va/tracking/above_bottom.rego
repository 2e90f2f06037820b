# METADATA
# title: "The head passes above the bottom of the open hole"
# description: "At an open hole the depth shown is not below the bottom of the hole."
# related_resources:
# - ref: "20VAC5-309-150"
#   description: "Virginia, trenchless excavation: where the indicated depth is below the bottom of the pothole, stop until it is deepened"
# custom:
#   id: "tracking.above_bottom"
#   order: 915
#   severity: "stop"
#   gate: "drilling"
#   waivable: false
#   status: ""
#   title:
#     es: "La cabeza pasa arriba del fondo del hoyo abierto"
#   stop:
#     en: "The depth shown is {hole_reading}, and the hole ends at {hole_bottom}."
#     es: "La profundidad que marca es {hole_reading}, y el hoyo termina a {hole_bottom}."
#   why:
#     en: "Below the bottom of the hole the head cannot be seen, so that nobody knows how far it is from the line."
#     es: "Debajo del fondo del hoyo la cabeza no se ve, y nadie sabe qué tan lejos está de la línea."
#   remedy:
#     en: "Stop the rods, dig the hole deeper by hand or vacuum, and look again."
#     es: "Paren las barras, hagan más hondo el hoyo a mano o con vacío, y miren otra vez."
#   asks:
#   - id: "hole_reading"
#     kind: "length"
#     label:
#       en: "depth shown at the hole"
#       es: "profundidad que marca en el hoyo"
#     unit: "ft"
#     min: "1 ft"
#     max: "100 ft"
#     outside: "ask"
#     together: "at_hole"
#     lead:
#       en: "At the open hole, as the head comes near: depth shown, and depth of the bottom of the hole?"
#       es: "En el hoyo abierto, cuando se acerca la cabeza: ¿profundidad que marca, y profundidad del fondo del hoyo?"
#     prompt:
#       en: "Depth shown as the head comes to the hole?"
#       es: "¿Profundidad que marca cuando la cabeza llega al hoyo?"
#   - id: "hole_bottom"
#     kind: "length"
#     label:
#       en: "bottom of the hole"
#       es: "fondo del hoyo"
#     unit: "ft"
#     min: "0 ft"
#     max: "100 ft"
#     outside: "ask"
#     together: "at_hole"
#     prompt:
#       en: "Depth of the bottom of the hole?"
#       es: "¿Profundidad del fondo del hoyo?"
package checks.va.tracking.above_bottom

pass if {
	is_number(input.hole_reading)
	is_number(input.hole_bottom)
	input.hole_reading <= input.hole_bottom
}
