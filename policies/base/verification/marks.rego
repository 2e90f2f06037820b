# METADATA
# title: "The marks stand where they belong"
# description: "Near and far mark are taped from the same point as the baseline and lie within the tolerance."
# related_resources:
# - ref: "common practice, no source"
#   description: "Verification marks at half and at one and a half times the baseline"
# custom:
#   id: "verification.marks"
#   order: 610
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: "common practice, no source"
#   title:
#     es: "Las marcas están donde deben"
#   stop:
#     en: "Near mark {derived.near_mark_error}, far mark {derived.far_mark_error}; no more than {params.verification.mark_tolerance} either way is allowed."
#     es: "Marca cercana {derived.near_mark_error}, marca lejana {derived.far_mark_error}; no se permite más de {params.verification.mark_tolerance} para ningún lado."
#   why:
#     en: "Reading the baseline again proves nothing, since the receiver was told that length. Only marks taped apart from it can show a wrong tape point, noise or metal."
#     es: "Leer otra vez la línea base no prueba nada, porque al receptor se le dijo esa medida. Solo marcas medidas aparte pueden mostrar un mal punto de cinta, ruido o metal."
#   remedy:
#     en: "Set the mark again and tape it from the transmitter's centre mark."
#     es: "Pon la marca otra vez y mídela desde la marca de centro del transmisor."
#   asks:
#   - id: "near_mark"
#     kind: "length"
#     label:
#       en: "near mark as taped"
#       es: "marca cercana medida"
#     unit: "ft"
#     min: "1 ft"
#     max: "30 ft"
#     outside: "ask"
#     together: "marks"
#     lead:
#       en: "Tape both marks from the transmitter's centre mark, then take the tape away. Near mark (it belongs at {params.verification.near_mark}) and far mark (it belongs at {params.verification.far_mark}), as taped?"
#       es: "Mide las dos marcas desde la marca de centro del transmisor, y quita la cinta. ¿Cuánto miden la marca cercana (va a {params.verification.near_mark}) y la lejana (va a {params.verification.far_mark})?"
#     redo_after: ["gear_change", "frequency_change", "power_change", "hard_impact", "failed_depth_check"]
#     prompt:
#       en: "Near mark, as taped? It belongs at {params.verification.near_mark}."
#       es: "Marca cercana, ¿cuánto mide? Va a {params.verification.near_mark}."
#   - id: "far_mark"
#     kind: "length"
#     label:
#       en: "far mark as taped"
#       es: "marca lejana medida"
#     unit: "ft"
#     min: "1 ft"
#     max: "60 ft"
#     outside: "ask"
#     together: "marks"
#     redo_after: ["gear_change", "frequency_change", "power_change", "hard_impact", "failed_depth_check"]
#     prompt:
#       en: "Far mark, as taped? It belongs at {params.verification.far_mark}."
#       es: "Marca lejana, ¿cuánto mide? Va a {params.verification.far_mark}."
package checks.base.verification.marks

pass if {
	is_number(input.derived.near_mark_error_um)
	is_number(input.derived.far_mark_error_um)
	abs(input.derived.near_mark_error_um) <= data.params.verification.mark_tolerance_um
	abs(input.derived.far_mark_error_um) <= data.params.verification.mark_tolerance_um
}
