# METADATA
# title: "The near mark reads true"
# description: "At the near mark the reading, with what it may be wrong by, lies inside the tolerance."
# related_resources:
# - ref: "JCGM 106"
#   description: "JCGM 106:2012, guarded acceptance: the doubt is taken off the tolerance before judging"
# - ref: "20VAC5-309-150"
#   description: "Virginia, requirement for trenchless excavation: a state rule that names the locating device; chosen as a good rule elsewhere too"
# custom:
#   id: "verification.near_mark"
#   order: 630
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   each: "frequency"
#   status: ""
#   title:
#     es: "La marca cercana se lee bien"
#   stop:
#     en: "{frequency}: the near mark reads {frequency.derived.near_mean}, {frequency.derived.near_error}; with a doubt of {frequency.derived.near_expanded} it must stay inside {frequency.derived.near_tolerance}."
#     es: "{frequency}: la marca cercana lee {frequency.derived.near_mean}, {frequency.derived.near_error}; con una duda de {frequency.derived.near_expanded} debe quedar dentro de {frequency.derived.near_tolerance}."
#   good:
#     en: "{frequency}, near mark: {frequency.derived.near_error}, good to {frequency.derived.near_expanded}; {frequency.derived.near_tolerance} allowed."
#     es: "{frequency}, marca cercana: {frequency.derived.near_error}, segura a {frequency.derived.near_expanded}; se permite {frequency.derived.near_tolerance}."
#   why:
#     en: "A reading is no better than tape, display and mark allow, so that doubt is taken off the tolerance before it is judged. Close by, a wrong tape point or a walking view shows the most."
#     es: "Una lectura no es mejor que lo que permiten cinta, pantalla y marca, así que esa duda se resta de la tolerancia antes de juzgar. De cerca es donde más se nota un mal punto de cinta o la vista de caminar."
#   remedy:
#     en: "Read the near mark again; if it repeats, tape and calibrate {frequency} again."
#     es: "Lee la marca cercana otra vez; si se repite, mide y calibra {frequency} otra vez."
#   asks:
#   - id: "near_reading"
#     kind: "lengths"
#     label:
#       en: "readings at the near mark"
#       es: "lecturas en la marca cercana"
#     unit: "ft"
#     min: "1 ft"
#     max: "30 ft"
#     outside: "ask"
#     together: "readings"
#     lead:
#       en: "{frequency}: at each mark read three times, stepping away and back in between. All readings at the near mark; then a semicolon, and all at the far mark?"
#       es: "{frequency}: en cada marca lee tres veces, alejándote y regresando entre lecturas. ¿Todas las lecturas en la marca cercana; luego punto y coma, y todas en la lejana?"
#     redo_after: ["gear_change", "frequency_change", "power_change", "hard_impact", "failed_depth_check"]
#     prompt:
#       en: "{frequency}: depth shown at the near mark, each time you read it?"
#       es: "{frequency}: ¿profundidad en la marca cercana, cada vez que leíste?"
package checks.base.verification.near_mark

pass if {
	is_number(input.frequency.derived.near_error_um)
	is_number(input.frequency.derived.near_expanded_um)
	is_number(input.frequency.derived.near_tolerance_um)
	abs(input.frequency.derived.near_error_um) + input.frequency.derived.near_expanded_um <= input.frequency.derived.near_tolerance_um
}
