# METADATA
# title: "The far mark reads true"
# description: "At the far mark the reading, with what it may be wrong by, lies inside the tolerance."
# related_resources:
# - ref: "JCGM 106"
#   description: "JCGM 106:2012, guarded acceptance: the doubt is taken off the tolerance before judging"
# - ref: "20VAC5-309-150"
#   description: "Virginia, requirement for trenchless excavation: a state rule that names the locating device; chosen as a good rule elsewhere too"
# custom:
#   id: "verification.far_mark"
#   order: 640
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   each: "frequency"
#   status: ""
#   title:
#     es: "La marca lejana se lee bien"
#   stop:
#     en: "{frequency}: the far mark reads {frequency.derived.far_mean}, {frequency.derived.far_error}; with a doubt of {frequency.derived.far_expanded} it must stay inside {frequency.derived.far_tolerance}."
#     es: "{frequency}: la marca lejana lee {frequency.derived.far_mean}, {frequency.derived.far_error}; con una duda de {frequency.derived.far_expanded} debe quedar dentro de {frequency.derived.far_tolerance}."
#   good:
#     en: "{frequency}, far mark: {frequency.derived.far_error}, good to {frequency.derived.far_expanded}; {frequency.derived.far_tolerance} allowed."
#     es: "{frequency}, marca lejana: {frequency.derived.far_error}, segura a {frequency.derived.far_expanded}; se permite {frequency.derived.far_tolerance}."
#   why:
#     en: "A receiver that is right at the baseline can still be wrong farther out, where noise and metal bite first. What the far mark shows is the nearest thing to the depth you will drill at."
#     es: "Un receptor que lee bien en la línea base puede leer mal más lejos, donde el ruido y el metal muerden primero. Lo que muestra la marca lejana es lo más parecido a la profundidad a la que vas a perforar."
#   remedy:
#     en: "Read the far mark again; if it repeats, tape and calibrate {frequency} again."
#     es: "Lee la marca lejana otra vez; si se repite, mide y calibra {frequency} otra vez."
#   asks:
#   - id: "far_reading"
#     kind: "lengths"
#     label:
#       en: "readings at the far mark"
#       es: "lecturas en la marca lejana"
#     unit: "ft"
#     min: "1 ft"
#     max: "60 ft"
#     outside: "ask"
#     together: "readings"
#     redo_after: ["gear_change", "frequency_change", "power_change", "hard_impact", "failed_depth_check"]
#     prompt:
#       en: "{frequency}: depth shown at the far mark, each time you read it?"
#       es: "{frequency}: ¿profundidad en la marca lejana, cada vez que leíste?"
package checks.base.verification.far_mark

pass if {
	is_number(input.frequency.derived.far_error_um)
	is_number(input.frequency.derived.far_expanded_um)
	is_number(input.frequency.derived.far_tolerance_um)
	abs(input.frequency.derived.far_error_um) + input.frequency.derived.far_expanded_um <= input.frequency.derived.far_tolerance_um
}
