# METADATA
# title: "The baseline has its length"
# description: "The taped baseline is within the tolerance of the length that the receiver takes for granted."
# related_resources:
# - ref: "common practice, no source"
#   description: "Calibration at one fixed distance, taped"
# - ref: "20VAC5-309-150"
#   description: "Virginia, requirement for trenchless excavation: a state rule that names the locating device; chosen as a good rule elsewhere too"
# custom:
#   id: "calibration.baseline"
#   order: 510
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: "common practice, no source"
#   title:
#     es: "La línea base mide lo que debe"
#   stop:
#     en: "The baseline is {baseline}, which is {derived.baseline_error}; no more than {params.calibration.baseline_tolerance} either way is allowed."
#     es: "La línea base mide {baseline}, es decir {derived.baseline_error}; no se permite más de {params.calibration.baseline_tolerance} para ningún lado."
#   why:
#     en: "The receiver believes that this line is exactly {params.calibration.baseline}, so the tape's error becomes the same share of every depth. An inch here is nearly one percent of all depths."
#     es: "El receptor cree que esta línea mide exactamente {params.calibration.baseline}, así que el error de la cinta pasa en la misma proporción a toda profundidad. Una pulgada aquí es casi uno por ciento de todas."
#   remedy:
#     en: "Move the receiver to {params.calibration.baseline} and tape again."
#     es: "Mueve el receptor a {params.calibration.baseline} y mide otra vez."
#   asks:
#   - id: "baseline"
#     kind: "length"
#     label:
#       en: "baseline"
#       es: "línea base"
#     unit: "ft"
#     min: "1 ft"
#     max: "60 ft"
#     outside: "ask"
#     together: "baseline"
#     lead:
#       en: "Tape the baseline tight at the height of the centre marks, then once more with another tape. First length (it belongs at {params.calibration.baseline}), second length, and where you held them: centre marks, case ends, other points?"
#       es: "Mide la línea base con la cinta bien jalada a la altura de las marcas de centro, y otra vez con otra cinta. ¿Primera medida (debe medir {params.calibration.baseline}), segunda medida, y dónde las pusiste: marcas de centro, extremos, otros puntos?"
#     redo_after: ["gear_change", "frequency_change", "power_change", "hard_impact"]
#     prompt:
#       en: "How long is the baseline, transmitter to receiver? It belongs at {params.calibration.baseline}."
#       es: "¿Cuánto mide la línea base, del transmisor al receptor? Debe medir {params.calibration.baseline}."
package checks.base.calibration.baseline

pass if {
	is_number(input.derived.baseline_error_um)
	abs(input.derived.baseline_error_um) <= data.params.calibration.baseline_tolerance_um
}
