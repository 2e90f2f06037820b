# METADATA
# title: "Emergency numbers and the address are at hand"
# description: "The crew knows whom to call and what place to name."
# related_resources:
# - ref: "49 CFR 196.109"
#   description: "PHMSA, on a release from a pipeline call 911 or the local emergency number at once"
# - ref: "49 CFR 196.107"
#   description: "PHMSA, report every damage to the pipeline operator at once"
# custom:
#   id: "crew.emergency"
#   order: 260
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: ""
#   title:
#     es: "Números de emergencia y dirección a la mano"
#   stop:
#     en: "A number or the address is missing."
#     es: "Falta un número o la dirección."
#   why:
#     en: "On a gas release the law wants 911 called at once, and then the owner of the line. A phone does not tell the dispatcher which gate of the field to come to."
#     es: "Si hay fuga de gas la ley pide llamar al 911 enseguida, y luego al dueño de la línea. El teléfono no le dice al operador a qué entrada del terreno llegar."
#   remedy:
#     en: "Write both numbers and the address where everybody sees them, then give them here."
#     es: "Escribe los dos números y la dirección donde todos los vean, y dalos aquí."
#   asks:
#   - id: "emergency_number"
#     kind: "text"
#     label:
#       en: "emergency number"
#       es: "número de emergencia"
#     together: "emergency"
#     lead:
#       en: "If a line is hit: emergency number, emergency line of the gas company, and the address or crossing streets you name? Put ; between them."
#       es: "Si se golpea una línea: ¿número de emergencia, línea de emergencia de la compañía de gas, y la dirección o cruce de calles que das? Uno por renglón."
#     carry: "place"
#     prompt:
#       en: "Emergency number?"
#       es: "¿Número de emergencia?"
#   - id: "gas_number"
#     kind: "text"
#     label:
#       en: "gas company emergency line"
#       es: "emergencia de la compañía de gas"
#     together: "emergency"
#     carry: "place"
#     prompt:
#       en: "Emergency line of the gas company?"
#       es: "¿Línea de emergencia de la compañía de gas?"
#   - id: "site_address"
#     kind: "text"
#     label:
#       en: "address of the site"
#       es: "dirección del sitio"
#     together: "emergency"
#     carry: "place"
#     prompt:
#       en: "Address or crossing streets?"
#       es: "¿Dirección o cruce de calles?"
package checks.base.crew.emergency

pass if {
	is_string(input.emergency_number)
	trim_space(input.emergency_number) != ""
	is_string(input.gas_number)
	trim_space(input.gas_number) != ""
	is_string(input.site_address)
	trim_space(input.site_address) != ""
}
