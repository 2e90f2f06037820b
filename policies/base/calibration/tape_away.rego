# METADATA
# title: "The tape is off the line"
# description: "The tape was taken away before calibrating."
# related_resources:
# - ref: "common practice, no source"
#   description: "Take the steel tape away before calibrating"
# custom:
#   id: "calibration.tape_away"
#   order: 540
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: "common practice, no source"
#   title:
#     es: "La cinta está fuera de la línea"
#   stop:
#     en: "The tape still lies on the line."
#     es: "La cinta sigue sobre la línea."
#   why:
#     en: "A steel tape is metal, and it lies closer to the line than anything else. The receiver would calibrate on tape and transmitter together."
#     es: "Una cinta de acero es metal, y está más cerca de la línea que cualquier otra cosa. El receptor calibraría con la cinta y el transmisor juntos."
#   remedy:
#     en: "Wind the tape up and put it with the tools."
#     es: "Enrolla la cinta y déjala con la herramienta."
#   asks:
#   - id: "tape_away"
#     kind: "yesno"
#     label:
#       en: "tape off the line"
#       es: "cinta fuera de la línea"
#     together: "set"
#     redo_after: ["gear_change", "frequency_change", "power_change", "hard_impact"]
#     prompt:
#       en: "Is the tape off the line?"
#       es: "¿Está la cinta fuera de la línea?"
package checks.base.calibration.tape_away

pass if input.tape_away == true
