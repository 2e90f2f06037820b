# METADATA
# title: "Each open hole goes down as far as the bore"
# description: "The bottom of the hole at a crossed line is at least as deep as the bore is planned there."
# related_resources:
# - ref: "20VAC5-309-150"
#   description: "Virginia, trenchless excavation: where the indicated depth is below the bottom of the pothole, stop until it is deepened; look at the head at potholes"
# custom:
#   id: "crossings.hole_bottom"
#   order: 760
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   each: "crossing"
#   status: ""
#   title:
#     es: "Cada hoyo abierto llega hasta la perforación"
#   stop:
#     en: "{crossing}: the hole ends at {crossing.hole_depth}, and the bore is planned at {crossing.bore_depth}."
#     es: "{crossing}: el hoyo termina a {crossing.hole_depth}, y la perforación se planea a {crossing.bore_depth}."
#   why:
#     en: "The head is to be seen as it passes the line. In a hole that ends above it there is nothing to see."
#     es: "La cabeza se debe ver cuando pasa la línea. En un hoyo que termina más arriba no hay nada que ver."
#   remedy:
#     en: "Dig the hole at {crossing} deeper by hand or vacuum, and give its depth anew."
#     es: "Haz más hondo el hoyo en {crossing} a mano o con vacío, y da de nuevo su profundidad."
#   asks:
#   - id: "hole_depth"
#     kind: "length"
#     label:
#       en: "depth of the hole"
#       es: "profundidad del hoyo"
#     unit: "ft"
#     min: "0 ft"
#     max: "100 ft"
#     outside: "ask"
#     prompt:
#       en: "{crossing}: how deep is the bottom of the open hole?"
#       es: "{crossing}: ¿qué tan hondo está el fondo del hoyo abierto?"
package checks.va.crossings.hole_bottom

# What was not dug open has no hole to judge; its own check stops the bore.
exempt if input.crossing.exposed == false

pass if {
	is_number(input.crossing.hole_depth)
	is_number(input.crossing.bore_depth)
	input.crossing.hole_depth >= input.crossing.bore_depth
}
