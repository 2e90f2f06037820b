# METADATA
# title: "The background is still as quiet after the marks"
# description: "Where the bore goes deeper than the far mark, the background heard again after the marks leaves the margin at the planned depth."
# related_resources:
# - ref: "derived"
#   description: "Against the signal, background grows with the cube of the depth: what a far mark at 15 ft shows as a bend just inside its doubt is 2.4 times as strong at 20 ft"
# - ref: "JCGM 106"
#   description: "JCGM 106:2012: where readings cannot show it, it has to be shown another way"
# custom:
#   id: "verification.noise_again"
#   order: 655
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   each: "frequency"
#   status: "chosen"
#   title:
#     es: "El ruido de fondo sigue igual de bajo después de las marcas"
#   stop:
#     en: "{frequency} stands {frequency.derived.noise_again_margin} above the background as it is now, at {planned_depth}; {params.ground.noise_margin} is needed."
#     es: "{frequency} sobresale {frequency.derived.noise_again_margin} del ruido de fondo como está ahora, a {planned_depth}; se necesitan {params.ground.noise_margin}."
#   good:
#     en: "{frequency}: still {frequency.derived.noise_again_margin} over the background at {planned_depth}; {params.ground.noise_margin} needed."
#     es: "{frequency}: todavía {frequency.derived.noise_again_margin} sobre el ruido a {planned_depth}; se necesita {params.ground.noise_margin}."
#   why:
#     en: "Something may have been switched on since the survey. Down to the far mark the readings would show it; deeper than that nothing does, and it weighs more with every foot."
#     es: "Algo pudo encenderse desde la medición del ruido. Hasta la marca lejana las lecturas lo mostrarían; más abajo nada lo muestra, y pesa más con cada pie."
#   remedy:
#     en: "Find what was switched on since the survey and have it off, walk the path again, then calibrate {frequency} again."
#     es: "Encuentra qué se encendió desde la medición y que lo apaguen, camina otra vez la ruta, y calibra {frequency} otra vez."
#   asks:
#   - id: "background_again"
#     kind: "decibel"
#     label:
#       en: "background after the marks"
#       es: "ruido de fondo después de las marcas"
#     unit: "dB"
#     min: "-150 dB"
#     max: "150 dB"
#     outside: "ask"
#     redo_after: ["gear_change", "frequency_change", "power_change", "hard_impact", "interference", "failed_depth_check"]
#     prompt:
#       en: "{frequency}: the bore goes deeper than your far mark. Transmitter off once more, at the far mark. Background now, dB?"
#       es: "{frequency}: la perforación va más abajo que tu marca lejana. Apaga otra vez el transmisor, en la marca lejana. ¿Ruido de fondo ahora, dB?"
package checks.base.verification.noise_again

exempt if {
	is_number(input.planned_depth)
	input.planned_depth <= data.params.verification.far_mark_um
}

pass if {
	is_number(input.frequency.derived.noise_again_margin_mdb)
	input.frequency.derived.noise_again_margin_mdb >= data.params.ground.noise_margin_mdb
}
