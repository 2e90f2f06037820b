# METADATA
# title: "Sewers and laterals are accounted for"
# description: "No sewer or lateral is near the path, or each one is located and was seen."
# related_resources:
# - ref: "Leading Practices for Cross Bore Risk Reduction, 2019"
#   description: "Locate sewer mains and laterals, and look at them before and after"
# - ref: "20VAC5-309-150"
#   description: "Virginia, requirement for trenchless excavation: a state rule that names the locating device; chosen as a good rule elsewhere too"
# custom:
#   id: "crossings.sewers"
#   order: 720
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: ""
#   title:
#     es: "Drenajes y laterales están resueltos"
#   stop:
#     en: "Where the sewers and laterals run is not known."
#     es: "No se sabe por dónde van los drenajes y laterales."
#   why:
#     en: "Many laterals are on no ticket, and a gas pipe drilled through one lies there unseen until a drain cleaner cuts it. Gas then comes up inside a house."
#     es: "Muchos laterales no están en ningún ticket, y un tubo de gas que atraviesa uno queda ahí sin que nadie lo vea hasta que una máquina destapa el drenaje y lo corta. Entonces el gas sale dentro de una casa."
#   remedy:
#     en: "Have the sewer mains and laterals located by camera or dug open before you go on."
#     es: "Que localicen drenajes y laterales con cámara o excavando antes de seguir."
#   asks:
#   - id: "sewers"
#     kind: "choice"
#     label:
#       en: "sewers and laterals"
#       es: "drenajes y laterales"
#     options:
#     - id: "none"
#       label: {en: "none near", es: "ninguno cerca"}
#       words: ["none", "no sewers", "none near", "ninguno", "ningunos"]
#     - id: "seen"
#       label: {en: "located and seen", es: "localizados y vistos"}
#       words: ["seen", "located", "camera", "dug", "vistos", "visto", "localizados"]
#     - id: "unknown"
#       label: {en: "unknown", es: "no se sabe"}
#       words: ["unknown", "not known", "do not know", "no sé", "no se sabe"]
#     prompt:
#       en: "Sewer mains and laterals near the path: none, seen (by camera or dug open), or unknown?"
#       es: "Drenajes y laterales cerca de la ruta: ¿ninguno, vistos (con cámara o excavados), o no se sabe?"
package checks.base.crossings.sewers

pass if input.sewers == "none"

pass if input.sewers == "seen"
