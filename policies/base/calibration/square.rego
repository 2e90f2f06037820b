# METADATA
# title: "The transmitter lies level and square to the line"
# description: "The transmitter lies level and at right angles to the baseline."
# related_resources:
# - ref: "common practice, no source"
#   description: "Transmitter level and square to the baseline, within 5 degrees"
# - ref: "derived"
#   description: "5 degrees off square cost less than 0.8 % of depth"
# custom:
#   id: "calibration.square"
#   order: 530
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: "common practice, no source"
#   title:
#     es: "El transmisor está a nivel y a escuadra con la línea"
#   stop:
#     en: "The transmitter is not level and square to the line."
#     es: "El transmisor no está a nivel y a escuadra con la línea."
#   why:
#     en: "Off its end a transmitter is twice as strong as off its side, and calibrated end-on every depth reads a quarter too deep. Kept askew for all marks, nothing that you read later shows it."
#     es: "Por la punta un transmisor es el doble de fuerte que por el lado, y calibrado de punta toda profundidad se lee un cuarto de más. Si queda chueco en todas las marcas, nada de lo que leas después lo muestra."
#   remedy:
#     en: "Turn it square to the line, level it, and tape the baseline again if it moved."
#     es: "Ponlo a escuadra y a nivel, y mide otra vez la línea base si se movió."
#   asks:
#   - id: "transmitter_square"
#     kind: "yesno"
#     label:
#       en: "transmitter level and square"
#       es: "transmisor nivelado y a escuadra"
#     together: "set"
#     lead:
#       en: "Last look before you calibrate. Yes or no for each: transmitter level and square to the line, off by no more than {params.calibration.aim} in a foot; tape off the line?"
#       es: "Última mirada antes de calibrar. Sí o no para cada uno: ¿transmisor a nivel y a escuadra con la línea, fuera por no más de {params.calibration.aim} por pie; cinta fuera de la línea?"
#     redo_after: ["gear_change", "frequency_change", "power_change", "hard_impact"]
#     prompt:
#       en: "Does the transmitter lie level and square to the line, off by no more than {params.calibration.aim} in a foot?"
#       es: "¿Está el transmisor a nivel y a escuadra con la línea, fuera por no más de {params.calibration.aim} por pie?"
package checks.base.calibration.square

pass if input.transmitter_square == true
