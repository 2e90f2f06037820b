# METADATA
# title: "Over an open hole the depth reads true"
# description: "While drilling, one reading over the head that can be seen lies inside the tolerance, its doubt taken off."
# related_resources:
# - ref: "20VAC5-309-150"
#   description: "Virginia, trenchless excavation: look at the head at potholes, entrance and exit; stop when it is not where it is shown"
# custom:
#   id: "tracking.open_hole"
#   order: 905
#   severity: "stop"
#   gate: "drilling"
#   waivable: false
#   status: ""
#   title:
#     es: "Sobre un hoyo abierto la profundidad se lee bien"
#   stop:
#     en: "Over the open hole the receiver is {derived.seen_error}; with a doubt of {derived.seen_expanded} it must stay inside {derived.seen_tolerance}."
#     es: "Sobre el hoyo abierto el receptor marca {derived.seen_error}; con una duda de {derived.seen_expanded} debe quedar dentro de {derived.seen_tolerance}."
#   good:
#     en: "Open hole: {derived.seen_error}, good to {derived.seen_expanded}; {derived.seen_tolerance} allowed."
#     es: "Hoyo abierto: {derived.seen_error}, seguro a {derived.seen_expanded}; se permite {derived.seen_tolerance}."
#   why:
#     en: "Where the head can be seen, the tape is the judge. If the receiver is wrong here, it is wrong over the next line as well."
#     es: "Donde se ve la cabeza, la cinta es el juez. Si el receptor falla aquí, también falla sobre la siguiente línea."
#   remedy:
#     en: "Stop the rods, read and tape once more; if it stays, pull back and calibrate."
#     es: "Paren las barras, lean y midan otra vez; si sigue igual, regresen y calibren."
#   asks:
#   - id: "seen_depth"
#     kind: "length"
#     label:
#       en: "head by tape"
#       es: "cabeza con cinta"
#     unit: "ft"
#     min: "1 ft"
#     max: "60 ft"
#     outside: "ask"
#     together: "seen"
#     lead:
#       en: "At an open hole over the head: depth to its centre by tape, and depth shown?"
#       es: "En un hoyo abierto sobre la cabeza: ¿profundidad a su centro con cinta, y la que marca?"
#     prompt:
#       en: "Depth of the head by tape, at the open hole?"
#       es: "¿Profundidad de la cabeza con cinta, en el hoyo abierto?"
#   - id: "seen_reading"
#     kind: "length"
#     label:
#       en: "depth shown there"
#       es: "profundidad que marca ahí"
#     unit: "ft"
#     min: "1 ft"
#     max: "60 ft"
#     outside: "ask"
#     together: "seen"
#     prompt:
#       en: "Depth shown right there?"
#       es: "¿Profundidad que marca ahí?"
package checks.base.tracking.open_hole

pass if {
	is_number(input.derived.seen_error_um)
	is_number(input.derived.seen_expanded_um)
	is_number(input.derived.seen_tolerance_um)
	abs(input.derived.seen_error_um) + input.derived.seen_expanded_um <= input.derived.seen_tolerance_um
}
