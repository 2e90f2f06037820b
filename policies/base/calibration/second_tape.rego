# METADATA
# title: "A second tape gives the same baseline"
# description: "Another tape measures the baseline as the first one did."
# related_resources:
# - ref: "common practice, no source"
#   description: "Measure what everything rests on twice, with two tapes"
# custom:
#   id: "calibration.second_tape"
#   order: 515
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: "common practice, no source"
#   title:
#     es: "Otra cinta da la misma línea base"
#   stop:
#     en: "The second tape is {derived.second_tape_error} against the first; they must agree within {params.calibration.baseline_tolerance}."
#     es: "La segunda cinta da {derived.second_tape_error} contra la primera; deben coincidir dentro de {params.calibration.baseline_tolerance}."
#   why:
#     en: "A tape that is wrong by a share is wrong at the baseline and at both marks alike, and no reading ever shows it. Only another tape does."
#     es: "Una cinta mala por proporción está igual de mala en la línea base y en las dos marcas, y ninguna lectura lo muestra. Solo otra cinta lo muestra."
#   remedy:
#     en: "Find out which tape is wrong, with a third one or a known length, and measure again."
#     es: "Averigua cuál cinta está mala, con una tercera o una medida conocida, y mide otra vez."
#   asks:
#   - id: "second_tape"
#     kind: "length"
#     label:
#       en: "baseline by a second tape"
#       es: "línea base con otra cinta"
#     unit: "ft"
#     min: "1 ft"
#     max: "60 ft"
#     outside: "ask"
#     together: "baseline"
#     redo_after: ["gear_change", "frequency_change", "power_change", "hard_impact"]
#     prompt:
#       en: "How long is the baseline by a second tape?"
#       es: "¿Cuánto mide la línea base con otra cinta?"
package checks.base.calibration.second_tape

pass if {
	is_number(input.derived.second_tape_error_um)
	abs(input.derived.second_tape_error_um) <= data.params.calibration.baseline_tolerance_um
}
