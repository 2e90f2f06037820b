# METADATA
# title: "The readings still hold at a known point"
# description: "After interference, a new shift, or too long a time, one reading was held against a depth that is known."
# related_resources:
# - ref: "common practice, no source"
#   description: "One-point check at the start of each day and after breaks; check above ground as the head passes an open hole"
# - ref: "JCGM 106"
#   description: "JCGM 106:2012, guarded acceptance"
# custom:
#   id: "verification.still_true"
#   order: 660
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: "common practice, no source"
#   title:
#     es: "Las lecturas siguen valiendo en un punto conocido"
#   stop:
#     en: "At the known point the receiver is {derived.known_error}; with a doubt of {derived.known_expanded} it must stay inside {derived.known_tolerance}."
#     es: "En el punto conocido el receptor marca {derived.known_error}; con una duda de {derived.known_expanded} debe quedar dentro de {derived.known_tolerance}."
#   good:
#     en: "Known point: {derived.known_error}, good to {derived.known_expanded}; {derived.known_tolerance} allowed."
#     es: "Punto conocido: {derived.known_error}, seguro a {derived.known_expanded}; se permite {derived.known_tolerance}."
#   why:
#     en: "A calibration was true for the ground, the gear and the noise of that hour. Where the true depth can be seen, one reading tells whether it still is."
#     es: "Una calibración valía para el terreno, el equipo y el ruido de esa hora. Donde se ve la profundidad verdadera, una lectura dice si todavía vale."
#   remedy:
#     en: "Read again; if it repeats, report a failed depth check and pull the transmitter back to calibrate."
#     es: "Lee otra vez; si se repite, reporta que falló la revisión de profundidad y regresa el transmisor para calibrar."
#   asks:
#   - id: "known_depth"
#     kind: "length"
#     label:
#       en: "known depth"
#       es: "profundidad conocida"
#     unit: "ft"
#     min: "2 ft"
#     max: "60 ft"
#     outside: "ask"
#     together: "known"
#     lead:
#       en: "Check one depth you know: over the head at an open hole or a pit, or on the baseline if the rods are not in yet. True depth there, and depth shown?"
#       es: "Revisa una profundidad que conoces: sobre la cabeza en un hoyo abierto o una fosa, o en la línea base si las barras no han entrado. ¿Profundidad verdadera ahí, y la que marca?"
#     good_for: "12 h"
#     redo_after: ["gear_change", "frequency_change", "power_change", "hard_impact", "interference", "new_shift", "failed_depth_check"]
#     prompt:
#       en: "True depth at the known point?"
#       es: "¿Profundidad verdadera en el punto conocido?"
#   - id: "known_reading"
#     kind: "length"
#     label:
#       en: "reading at the known point"
#       es: "lectura en el punto conocido"
#     unit: "ft"
#     min: "1 ft"
#     max: "60 ft"
#     outside: "ask"
#     together: "known"
#     good_for: "12 h"
#     redo_after: ["gear_change", "frequency_change", "power_change", "hard_impact", "interference", "new_shift", "failed_depth_check"]
#     prompt:
#       en: "Depth shown at the known point?"
#       es: "¿Profundidad que marca en el punto conocido?"
package checks.base.verification.still_true

exempt if {
	is_number(input.clock.now)
	is_number(input.clock.verified)
	input.drilling.since_verified == 0
	input.clock.now - input.clock.verified <= data.params.verification.good_for_s
}

pass if {
	is_number(input.derived.known_error_um)
	is_number(input.derived.known_expanded_um)
	is_number(input.derived.known_tolerance_um)
	abs(input.derived.known_error_um) + input.derived.known_expanded_um <= input.derived.known_tolerance_um
}
