# METADATA
# title: "The background is measured on every frequency"
# description: "The highest background along the path is on record for this frequency."
# related_resources:
# - ref: "OSHA Safety and Health Information Bulletin, Avoiding Underground Utilities during Horizontal Directional Drilling Operations"
#   description: "Walk the path, look for signs of lines and for interference, pothole, plan for fire and gas"
# - ref: "common practice, no source"
#   description: "Walk the path with the transmitter off, on every frequency to be used, and note the highest background"
# custom:
#   id: "ground.background"
#   order: 460
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   each: "frequency"
#   status: ""
#   title:
#     es: "El ruido de fondo está medido en cada frecuencia"
#   stop:
#     en: "The background on {frequency} is not measured."
#     es: "El ruido de fondo en {frequency} no está medido."
#   why:
#     en: "With the transmitter off, what the receiver still shows is noise: traffic loops, power, radios, fences. It adds to the signal down the hole, so the receiver shows less depth than there is."
#     es: "Con el transmisor apagado, lo que el receptor aún muestra es ruido: lazos de tránsito, corriente, radios, cercas. Abajo se suma a la señal, y el receptor muestra menos profundidad de la que hay."
#   remedy:
#     en: "Turn the transmitter off and walk the whole path on {frequency}."
#     es: "Apaga el transmisor y camina toda la ruta en {frequency}."
#   asks:
#   - id: "background"
#     kind: "decibel"
#     label:
#       en: "background"
#       es: "ruido de fondo"
#     unit: "dB"
#     min: "-150 dB"
#     max: "150 dB"
#     outside: "ask"
#     redo_after: ["gear_change", "interference"]
#     prompt:
#       en: "{frequency}: transmitter off, walk the whole path. Highest background, dB?"
#       es: "{frequency}: transmisor apagado, camina toda la ruta. ¿Ruido de fondo más alto, dB?"
package checks.base.ground.background

pass if is_number(input.frequency.background)
