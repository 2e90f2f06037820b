# METADATA
# title: "No slab, rebar or plate under the line"
# description: "No concrete slab, rebar mat or metal plate lies under the calibration line."
# related_resources:
# - ref: "common practice, no source"
#   description: "No reinforced concrete or metal under the calibration line"
# custom:
#   id: "ground.no_slab"
#   order: 440
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: "common practice, no source"
#   title:
#     es: "Sin losa, varilla o placa bajo la línea"
#   stop:
#     en: "There is a slab, rebar or a plate under the line."
#     es: "Hay una losa, varilla o placa bajo la línea."
#   why:
#     en: "This is the one fault that the marks cannot see: with rebar 3 in under the line they read 5.01 and 14.99 ft, and down the hole every depth reads 26 % too deep. Only clean ground protects you from it."
#     es: "Esta es la falla que las marcas no ven: con varilla 3 pulgadas bajo la línea leen 5.01 y 14.99 pies, y abajo toda profundidad sale 26 % de más. Solo un terreno limpio te protege."
#   remedy:
#     en: "Lay the line on bare soil or grass."
#     es: "Traza la línea sobre tierra o pasto."
#   asks:
#   - id: "slab_or_rebar"
#     kind: "yesno"
#     label:
#       en: "slab, rebar or mat under it"
#       es: "losa, varilla o malla abajo"
#     together: "ground"
#     redo_after: ["gear_change", "frequency_change", "power_change", "hard_impact", "failed_depth_check"]
#     prompt:
#       en: "Any concrete slab, rebar, mat or steel plate under it?"
#       es: "¿Alguna losa de concreto, varilla, malla o placa de acero debajo?"
package checks.base.ground.no_slab

pass if input.slab_or_rebar == false
