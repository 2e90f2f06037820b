# METADATA
# title: "The housing on the ground is the one on record"
# description: "The serial read off the housing on the ground is that of the housing on record."
# related_resources:
# - ref: "common practice, no source"
#   description: "Read the serial off the housing itself before calibrating"
# custom:
#   id: "gear.same_housing"
#   order: 380
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: "common practice, no source"
#   title:
#     es: "La carcasa en el suelo es la registrada"
#   stop:
#     en: "The housing on the ground reads {housing_on_ground}; on record is {housing_serial}."
#     es: "La carcasa en el suelo dice {housing_on_ground}; la registrada es {housing_serial}."
#   why:
#     en: "Two housings off the same truck can differ in slots and wear, and so in how much signal they let out. The serial on the steel is the only proof which one you calibrate."
#     es: "Dos carcasas del mismo camión pueden tener ranuras y desgaste distintos, y dejar salir distinta señal. La serie en el acero es la única prueba de cuál calibras."
#   remedy:
#     en: "Use the housing on record, or change the housing serial if this one will drill."
#     es: "Usa la carcasa registrada, o cambia la serie si con esta vas a perforar."
#   asks:
#   - id: "housing_on_ground"
#     kind: "serial"
#     label:
#       en: "housing on the ground"
#       es: "carcasa en el suelo"
#     together: "rigfree"
#     redo_after: ["gear_change", "hard_impact", "failed_depth_check"]
#     prompt:
#       en: "What serial does the housing on the ground show? Read it off the steel."
#       es: "¿Qué serie muestra la carcasa en el suelo? Léela en el acero."
package checks.base.gear.same_housing

pass if {
	is_string(input.housing_on_ground)
	trim_space(input.housing_on_ground) != ""
	input.housing_on_ground == input.housing_serial
}
