# METADATA
# title: "Depth from pitch and rods agrees with the depth shown"
# description: "While drilling, the depth that follows from the pitch at the end of each rod, which needs no receiver calibration, agrees with the depth shown within what both may be wrong by."
# related_resources:
# - ref: "derived"
#   description: "Each rod bends evenly between the pitches at its ends (minimum curvature); what the pitches, their zero, the rods and the start may be wrong by is carried along"
# - ref: "common practice, no source"
#   description: "Write down pitch and depth rod by rod, and hold one against the other"
# custom:
#   id: "tracking.rods"
#   order: 915
#   severity: "stop"
#   gate: "drilling"
#   waivable: false
#   status: "chosen"
#   title:
#     es: "La profundidad por inclinación y barras coincide con la que marca"
#   stop:
#     en: "By {derived.rods_count} rods and their pitches the head is at {derived.rods_depth}; the depth shown is {derived.rods_error}. The two may differ by {derived.rods_allowed}."
#     es: "Por {derived.rods_count} barras y sus inclinaciones la cabeza está a {derived.rods_depth}; la profundidad que marca es {derived.rods_error}. Pueden diferir por {derived.rods_allowed}."
#   good:
#     en: "By {derived.rods_count} rods and their pitches the head is at {derived.rods_depth}; shown {derived.rods_error}, {derived.rods_allowed} allowed."
#     es: "Por {derived.rods_count} barras y sus inclinaciones la cabeza está a {derived.rods_depth}; marca {derived.rods_error}, se permite {derived.rods_allowed}."
#   why:
#     en: "Pitch and rods give a depth without the strength of the signal. A wrong calibration, metal or noise over the bore shows as a difference; so does a pitch that was left out."
#     es: "La inclinación y las barras dan una profundidad sin la fuerza de la señal. Una mala calibración, metal o ruido sobre la perforación se nota como diferencia; también una inclinación que faltó."
#   remedy:
#     en: "Count the rods, read pitch and depth again; if it stays, stop and check at an open hole."
#     es: "Cuenten las barras, lean otra vez inclinación y profundidad; si sigue igual, paren y revisen en un hoyo abierto."
#   asks:
#   - id: "rod_length"
#     kind: "length"
#     label:
#       en: "length of a rod"
#       es: "largo de una barra"
#     unit: "ft"
#     min: "4 ft"
#     max: "40 ft"
#     outside: "ask"
#     together: "rods"
#     lead:
#       en: "Over the head, with the last rod all the way in. Length of a rod; pitch as the first rod went in; pitch at the end of each rod from the first to the last, spaces between; how far the start of the first rod lies below the ground you stand on (minus if above it); and depth shown? A semicolon between the five. Nose up is plus, nose down minus."
#       es: "Sobre la cabeza, con la última barra toda adentro. ¿Largo de una barra; inclinación al entrar la primera; inclinación al final de cada barra de la primera a la última, con espacios; cuánto queda el inicio de la primera barra por debajo del suelo donde estás (menos si queda arriba); y profundidad que marca? Punto y coma entre las cinco. Punta arriba es más, punta abajo menos."
#     prompt:
#       en: "Length of a rod?"
#       es: "¿Largo de una barra?"
#   - id: "rod_entry_pitch"
#     kind: "percent"
#     label:
#       en: "pitch at the start"
#       es: "inclinación al inicio"
#     unit: "%"
#     min: "-100 %"
#     max: "100 %"
#     outside: "ask"
#     together: "rods"
#     prompt:
#       en: "Pitch as the first rod went in? Nose down is minus."
#       es: "¿Inclinación al entrar la primera barra? Punta abajo es menos."
#   - id: "rod_pitches"
#     kind: "pitches"
#     label:
#       en: "pitch at the end of each rod"
#       es: "inclinación al final de cada barra"
#     unit: "%"
#     min: "-100 %"
#     max: "100 %"
#     outside: "ask"
#     together: "rods"
#     prompt:
#       en: "Pitch at the end of each rod, from the first to the last, spaces between?"
#       es: "¿Inclinación al final de cada barra, de la primera a la última, con espacios?"
#   - id: "rod_start"
#     kind: "length"
#     label:
#       en: "start of the first rod below the ground over the head"
#       es: "inicio de la primera barra bajo el suelo sobre la cabeza"
#     unit: "ft"
#     min: "-60 ft"
#     max: "60 ft"
#     outside: "ask"
#     together: "rods"
#     prompt:
#       en: "How far does the start of the first rod lie below the ground over the head? Minus if above it."
#       es: "¿Cuánto queda el inicio de la primera barra por debajo del suelo sobre la cabeza? Menos si queda arriba."
#   - id: "rod_reading"
#     kind: "length"
#     label:
#       en: "depth shown at the last rod"
#       es: "profundidad que marca en la última barra"
#     unit: "ft"
#     min: "1 ft"
#     max: "60 ft"
#     outside: "ask"
#     together: "rods"
#     prompt:
#       en: "Depth shown over the head at the end of the last rod?"
#       es: "¿Profundidad que marca sobre la cabeza al final de la última barra?"
package checks.base.tracking.rods

pass if {
	is_number(input.derived.rods_error_um)
	is_number(input.derived.rods_allowed_um)
	abs(input.derived.rods_error_um) <= input.derived.rods_allowed_um
}
