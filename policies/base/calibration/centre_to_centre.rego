# METADATA
# title: "Taped from centre mark to centre mark"
# description: "The baseline was taped between the centre marks of transmitter and receiver."
# related_resources:
# - ref: "common practice, no source"
#   description: "Tape from the coil's centre mark to the antenna's centre mark"
# custom:
#   id: "calibration.centre_to_centre"
#   order: 520
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: "common practice, no source"
#   title:
#     es: "Medida de marca de centro a marca de centro"
#   stop:
#     en: "The tape was held at the {measured_between}, not at the centre marks."
#     es: "La cinta se puso en {measured_between}, no en las marcas de centro."
#   why:
#     en: "The coil sits inside the housing, so its ends are not where the signal starts. A zero point 3 in off makes the marks read 5.12 and 14.88 ft: as much long near by as short far out."
#     es: "La bobina está dentro de la carcasa, así que los extremos no son donde empieza la señal. Un cero 3 pulgadas fuera hace leer las marcas 5.12 y 14.88 pies: tanto de más cerca como de menos lejos."
#   remedy:
#     en: "Tape again between the two centre marks."
#     es: "Mide otra vez entre las dos marcas de centro."
#   asks:
#   - id: "measured_between"
#     kind: "choice"
#     label:
#       en: "taped between"
#       es: "medida entre"
#     together: "baseline"
#     redo_after: ["gear_change", "frequency_change", "power_change", "hard_impact"]
#     options:
#     - id: "centres"
#       label: {en: "centre marks", es: "marcas de centro"}
#       words: ["centres", "centers", "centre", "center", "centre to centre", "center to center", "center marks", "centros", "centro", "de centro a centro"]
#     - id: "ends"
#       label: {en: "case ends", es: "extremos"}
#       words: ["ends", "end", "end to end", "edges", "extremo", "orillas"]
#     - id: "elsewhere"
#       label: {en: "other points", es: "otros puntos"}
#       words: ["elsewhere", "other", "others", "otro", "otros"]
#     prompt:
#       en: "Where did you hold the tape: centre marks, case ends, other points?"
#       es: "¿Dónde pusiste la cinta: marcas de centro, extremos, otros puntos?"
package checks.base.calibration.centre_to_centre

pass if input.measured_between == "centres"
