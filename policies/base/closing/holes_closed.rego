# METADATA
# title: "Holes and pits are closed or fenced"
# description: "Every pothole and pit is filled or fenced off."
# related_resources:
# - ref: "29 CFR 1926.651(b)(4)"
#   description: "OSHA, protect, support or remove underground installations while an excavation is open"
# - ref: "common practice, no source"
#   description: "Fill or fence every pothole and pit before leaving"
# custom:
#   id: "closing.holes_closed"
#   order: 1020
#   severity: "stop"
#   gate: "close"
#   waivable: true
#   status: "common practice, no source"
#   title:
#     es: "Hoyos y fosas cerrados o cercados"
#   stop:
#     en: "A hole or pit stands open."
#     es: "Un hoyo o una fosa sigue abierto."
#   why:
#     en: "An open pothole is a broken leg for whoever walks there at night. A line left hanging bare in it has lost the soil that carried and covered it."
#     es: "Un hoyo abierto es una pierna rota para quien camine ahí de noche. Una línea que queda colgando en él perdió la tierra que la sostenía y cubría."
#   remedy:
#     en: "Bed the lines, fill the holes, and fence what must stay open."
#     es: "Acomoda las líneas, rellena los hoyos y cerca lo que deba quedar abierto."
#   asks:
#   - id: "holes_closed"
#     kind: "yesno"
#     label:
#       en: "holes filled or fenced"
#       es: "hoyos tapados o cercados"
#     prompt:
#       en: "Is every pothole and pit filled or fenced?"
#       es: "¿Está cada hoyo y fosa relleno o cercado?"
package checks.base.closing.holes_closed

pass if input.holes_closed == true
