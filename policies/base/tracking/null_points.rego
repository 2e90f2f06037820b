# METADATA
# title: "Depth from the null points agrees with the depth shown"
# description: "While drilling, the depth that follows from the spacing of the front and rear null points, which needs no calibration, agrees with the depth shown within what both may be wrong by."
# related_resources:
# - ref: "derived"
#   description: "Level dipole: depth is the spacing of the axial null points over the square root of two, less with pitch"
# custom:
#   id: "tracking.null_points"
#   order: 910
#   severity: "stop"
#   gate: "drilling"
#   waivable: false
#   status: "chosen"
#   title:
#     es: "La profundidad por los puntos nulos coincide con la que marca"
#   stop:
#     en: "By the null points the depth shown is {derived.null_error}; the two may differ by {derived.null_allowed}."
#     es: "Según los puntos nulos la profundidad que marca es {derived.null_error}; pueden diferir por {derived.null_allowed}."
#   good:
#     en: "Null points: {derived.null_error} between the two ways; {derived.null_allowed} allowed."
#     es: "Puntos nulos: {derived.null_error} entre las dos maneras; se permite {derived.null_allowed}."
#   why:
#     en: "Where the null points lie depends on depth and pitch alone, not on how strong the transmitter is. A wrong calibration or metal shows as a difference."
#     es: "Dónde quedan los puntos nulos depende solo de la profundidad y la inclinación, no de la fuerza del transmisor. Una mala calibración o metal se nota como diferencia."
#   remedy:
#     en: "Find both null points and read again; if it stays, stop and check at an open hole."
#     es: "Busquen los dos puntos nulos y lean otra vez; si sigue igual, paren y revisen en un hoyo abierto."
#   asks:
#   - id: "null_spacing"
#     kind: "length"
#     label:
#       en: "null point to null point"
#       es: "de punto nulo a punto nulo"
#     unit: "ft"
#     min: "1 ft"
#     max: "120 ft"
#     outside: "ask"
#     together: "nulls"
#     lead:
#       en: "From the front to the rear null point: distance, pitch of the head, height of the antenna over the ground while you looked for them, and depth shown between them?"
#       es: "Del punto nulo de adelante al de atrás: ¿distancia, inclinación de la cabeza, altura de la antena sobre el suelo al buscarlos, y profundidad que marca entre ellos?"
#     prompt:
#       en: "Distance between the front and the rear null point?"
#       es: "¿Distancia entre el punto nulo de adelante y el de atrás?"
#   - id: "null_pitch"
#     kind: "percent"
#     label:
#       en: "pitch of the head"
#       es: "inclinación de la cabeza"
#     unit: "%"
#     min: "-50 %"
#     max: "50 %"
#     outside: "ask"
#     together: "nulls"
#     prompt:
#       en: "Pitch of the head?"
#       es: "¿Inclinación de la cabeza?"
#   - id: "null_height"
#     kind: "length"
#     label:
#       en: "height of the antenna"
#       es: "altura de la antena"
#     unit: "ft"
#     min: "0 ft"
#     max: "8 ft"
#     outside: "ask"
#     together: "nulls"
#     prompt:
#       en: "Height of the antenna over the ground?"
#       es: "¿Altura de la antena sobre el suelo?"
#   - id: "null_reading"
#     kind: "length"
#     label:
#       en: "depth shown between them"
#       es: "profundidad que marca entre ellos"
#     unit: "ft"
#     min: "1 ft"
#     max: "60 ft"
#     outside: "ask"
#     together: "nulls"
#     prompt:
#       en: "Depth shown between them?"
#       es: "¿Profundidad que marca entre ellos?"
package checks.base.tracking.null_points

pass if {
	is_number(input.derived.null_error_um)
	is_number(input.derived.null_allowed_um)
	abs(input.derived.null_error_um) <= input.derived.null_allowed_um
}
