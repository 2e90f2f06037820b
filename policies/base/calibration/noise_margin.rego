# METADATA
# title: "The signal stands clear of the background at depth"
# description: "At the planned depth the signal stands above the background by the margin."
# related_resources:
# - ref: "derived"
#   description: "Noise that adds in power costs 1 % of depth at 12.07 dB; noise in step with the signal costs 5 % at 15.58 dB, against it at 17.32 dB"
# - ref: "OSHA Safety and Health Information Bulletin, Avoiding Underground Utilities during Horizontal Directional Drilling Operations"
#   description: "Walk the path, look for signs of lines and for interference, pothole, plan for fire and gas"
# custom:
#   id: "calibration.noise_margin"
#   order: 580
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   each: "frequency"
#   status: "chosen"
#   title:
#     es: "La señal sobresale del ruido de fondo a la profundidad"
#   stop:
#     en: "{frequency} stands {frequency.derived.noise_margin} above the background at {planned_depth}; {params.ground.noise_margin} is needed."
#     es: "{frequency} sobresale {frequency.derived.noise_margin} del ruido de fondo a {planned_depth}; se necesitan {params.ground.noise_margin}."
#   good:
#     en: "{frequency}: {frequency.derived.noise_margin} over the background at {planned_depth}; {params.ground.noise_margin} needed."
#     es: "{frequency}: {frequency.derived.noise_margin} sobre el ruido a {planned_depth}; se necesita {params.ground.noise_margin}."
#   why:
#     en: "Noise adds to a weak signal, and the receiver takes that for a transmitter that is closer; noise that works against the signal makes it read too deep. At 17 dB above such noise it costs about 5 % of depth, at 12 dB of plain noise about 1 %."
#     es: "El ruido se suma a una señal débil, y el receptor lo toma por un transmisor más cercano; el ruido que va contra la señal hace leer de más. A 17 dB sobre un ruido así cuesta cerca de 5 % de la profundidad, a 12 dB de ruido común cerca de 1 %."
#   remedy:
#     en: "Use another frequency or more power, or quiet the source of the noise."
#     es: "Usa otra frecuencia o más potencia, o calla la fuente del ruido."
#   asks:
#   - id: "signal"
#     kind: "decibel"
#     label:
#       en: "signal at the baseline"
#       es: "señal en la línea base"
#     unit: "dB"
#     min: "-150 dB"
#     max: "150 dB"
#     outside: "ask"
#     together: "power"
#     redo_after: ["gear_change", "frequency_change", "power_change", "hard_impact"]
#     prompt:
#       en: "{frequency}: signal shown at the baseline, dB?"
#       es: "{frequency}: ¿señal en la línea base, dB?"
package checks.base.calibration.noise_margin

pass if {
	is_number(input.frequency.derived.noise_margin_mdb)
	input.frequency.derived.noise_margin_mdb >= data.params.ground.noise_margin_mdb
}
