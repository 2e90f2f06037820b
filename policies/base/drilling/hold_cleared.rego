# METADATA
# title: "What was done about the hold is said"
# description: "After a hold, somebody has said what stopped the bore and what was done about it."
# related_resources:
# - ref: "common practice, no source"
#   description: "A hold is cleared by a person who says what was done"
# custom:
#   id: "drilling.hold_cleared"
#   order: 40
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: "common practice, no source"
#   title:
#     es: "Se dijo qué se hizo con el paro"
#   stop:
#     en: "A hold is on, and nobody has said what was done about it."
#     es: "Hay un paro, y nadie ha dicho qué se hizo."
#   why:
#     en: "A hold stands for something that may have changed what the receiver shows. The words you give now are what the next hand and the owner of the line will read."
#     es: "Un paro significa que algo pudo cambiar lo que muestra el receptor. Lo que digas ahora es lo que van a leer el siguiente compañero y el dueño de la línea."
#   remedy:
#     en: "Say in a few words what stopped the bore and what you did."
#     es: "Di en pocas palabras qué paró la perforación y qué hiciste."
#   asks:
#   - id: "hold_cleared_how"
#     kind: "text"
#     label:
#       en: "what was done about the hold"
#       es: "qué se hizo por el paro"
#     redo_after: ["gear_change", "frequency_change", "power_change", "hard_impact", "interference", "new_shift", "failed_depth_check", "hold"]
#     prompt:
#       en: "What stopped the bore, and what have you done about it? A few words."
#       es: "¿Qué paró la perforación y qué hiciste? En pocas palabras."
package checks.base.drilling.hold_cleared

exempt if input.drilling.holds == 0

pass if {
	is_string(input.hold_cleared_how)
	trim_space(input.hold_cleared_how) != ""
}
