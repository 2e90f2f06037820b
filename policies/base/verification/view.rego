# METADATA
# title: "The receiver shows its calibration view"
# description: "The marks are read in the calibration view."
# related_resources:
# - ref: "common practice, no source"
#   description: "Read the marks in the view that adds and takes off nothing"
# custom:
#   id: "verification.view"
#   order: 620
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: "common practice, no source"
#   title:
#     es: "El receptor muestra su vista de calibración"
#   stop:
#     en: "The receiver shows the {reading_view}; the marks are read in the calibration view."
#     es: "El receptor muestra la {reading_view}; las marcas se leen en la vista de calibración."
#   why:
#     en: "A walking view takes off the height of the antenna above the ground, about 2 1/2 in. On a line laid out on the ground that is pure error, the same amount at both marks."
#     es: "Una vista de caminar resta la altura de la antena sobre el suelo, unas 2 1/2 pulgadas. En una línea trazada en el suelo eso es puro error, igual en las dos marcas."
#   remedy:
#     en: "Switch to the calibration view and read the marks in it."
#     es: "Cambia a la vista de calibración y lee las marcas en ella."
#   asks:
#   - id: "reading_view"
#     kind: "choice"
#     label:
#       en: "view on the screen"
#       es: "vista en la pantalla"
#     redo_after: ["gear_change", "frequency_change", "power_change", "hard_impact", "failed_depth_check"]
#     options:
#     - id: "calibration"
#       label: {en: "calibration view", es: "vista de calibración"}
#       words: ["calibration", "cal", "calibración", "calibracion"]
#     - id: "walking"
#       label: {en: "walking view", es: "vista de caminar"}
#       words: ["walking", "walk", "locate", "locating", "caminar", "localizar"]
#     - id: "other"
#       label: {en: "other view", es: "otra vista"}
#       words: ["other", "otra", "otro"]
#     prompt:
#       en: "Which view does the receiver show: calibration, walking, other?"
#       es: "¿Qué vista muestra el receptor: calibración, caminar, otra?"
package checks.base.verification.view

pass if input.reading_view == "calibration"
