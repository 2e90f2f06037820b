# METADATA
# title: "Every crossed line is dug open and in sight"
# description: "The crossed line is exposed by hand or vacuum where the bore passes it."
# related_resources:
# - ref: "20VAC5-309-150"
#   description: "Virginia, requirement for trenchless excavation: a state rule that names the locating device; chosen as a good rule elsewhere too"
# - ref: "29 CFR 1926.651(b)"
#   description: "OSHA, underground installations at excavations"
# - ref: "https://commongroundalliance.com/best-practices/best-practices-guide/419-trenchless-excavation"
#   description: "CGA Best Practices, trenchless excavation"
# custom:
#   id: "crossings.exposed"
#   order: 740
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   each: "crossing"
#   status: ""
#   title:
#     es: "Cada línea cruzada está destapada y a la vista"
#   stop:
#     en: "{crossing} is not in sight where the bore passes it."
#     es: "{crossing} no está a la vista donde pasa la perforación."
#   why:
#     en: "Paint on the ground tells about where a line is and says nothing of its depth. Only a line that you see has a depth to measure against."
#     es: "La pintura en el suelo dice más o menos dónde va una línea y nada de su profundidad. Solo una línea que ves tiene una profundidad con que comparar."
#   remedy:
#     en: "Open {crossing} by hand or vacuum, down past the depth of the bore."
#     es: "Destapa {crossing} a mano o con vacío, hasta más abajo de la perforación."
#   asks:
#   - id: "exposed"
#     kind: "yesno"
#     label:
#       en: "dug open and seen"
#       es: "descubierta y vista"
#     prompt:
#       en: "{crossing}: is it dug open, and do you see the line itself?"
#       es: "{crossing}: ¿está destapada, y ves la línea misma?"
package checks.base.crossings.exposed

pass if input.crossing.exposed == true
