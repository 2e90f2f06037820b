# METADATA
# title: "The locating hand has signed"
# description: "One of the signatures is that of the locating hand."
# related_resources:
# - ref: "20VAC5-309-150"
#   description: "Virginia, requirement for trenchless excavation: a state rule that names the locating device; chosen as a good rule elsewhere too"
# - ref: "common practice, no source"
#   description: "The person who reads the depths signs for them"
# custom:
#   id: "signoff.locating_hand"
#   order: 830
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: "common practice, no source"
#   title:
#     es: "El localizador firmó"
#   stop:
#     en: "The locating hand has not signed."
#     es: "El localizador no ha firmado."
#   why:
#     en: "The locating hand took the readings and will steer by them. Nobody else can say that they were taken as written."
#     es: "El localizador tomó las lecturas y va a guiar con ellas. Nadie más puede decir que se tomaron como están escritas."
#   remedy:
#     en: "Have the locating hand read the board and sign."
#     es: "Que el localizador lea el tablero y firme."
package checks.base.signoff.locating_hand

pass if input.signing.locating_hand == true
