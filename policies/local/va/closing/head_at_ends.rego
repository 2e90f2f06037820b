# METADATA
# title: "The head was looked at as it went in and as it came out"
# description: "Somebody saw the head at the entrance and at the exit of the bore."
# related_resources:
# - ref: "20VAC5-309-150"
#   description: "Virginia, trenchless excavation: look at the drill head at potholes, entrance and exit"
# custom:
#   id: "closing.head_at_ends"
#   order: 1005
#   severity: "stop"
#   gate: "close"
#   waivable: true
#   status: ""
#   title:
#     es: "Se miró la cabeza al entrar y al salir"
#   stop:
#     en: "Nobody looked at the head at both ends of the bore."
#     es: "Nadie miró la cabeza en los dos extremos de la perforación."
#   why:
#     en: "A head that comes out is the last word on all depths shown on the way. Worn teeth or a piece of cable on it tell of something that was hit."
#     es: "La cabeza que sale es la última palabra sobre todas las profundidades del camino. Dientes gastados o un pedazo de cable en ella hablan de algo golpeado."
#   remedy:
#     en: "Look at the head now, and tell the safety manager what was not seen."
#     es: "Mira la cabeza ahora, y dile al jefe de seguridad qué no se vio."
#   asks:
#   - id: "head_at_ends"
#     kind: "yesno"
#     label:
#       en: "head seen at both ends"
#       es: "cabeza vista en los extremos"
#     prompt:
#       en: "Did somebody look at the head as it went in and as it came out?"
#       es: "¿Alguien miró la cabeza al entrar y al salir?"
package checks.va.closing.head_at_ends

pass if input.head_at_ends == true
