# METADATA
# title: "The county's permit is good today"
# description: "Today is not after the last day of the county's permit to bore under its roads."
# related_resources:
# - ref: "common practice, no source"
#   description: "An invented county; many real ones want a permit for work under their roads"
# custom:
#   id: "ticket.county_permit"
#   order: 150
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: "common practice, no source"
#   title:
#     es: "El permiso del condado vale hoy"
#   stop:
#     en: "The county's permit is no longer good today."
#     es: "El permiso del condado ya no vale hoy."
#   why:
#     en: "The county knows of culverts and drains under its roads that are on no ticket, and tells them with the permit."
#     es: "El condado conoce tubos y drenajes bajo sus caminos que no salen en ningún ticket, y los dice con el permiso."
#   remedy:
#     en: "Call the county for a permit that is good today."
#     es: "Llama al condado y pide un permiso que valga hoy."
#   asks:
#   - id: "permit_last_day"
#     kind: "date"
#     label:
#       en: "county permit until"
#       es: "permiso del condado hasta"
#     ends: true
#     prompt:
#       en: "Last day of the county's permit to bore here?"
#       es: "¿Último día del permiso del condado para perforar aquí?"
package checks.va_alder.ticket.county_permit

pass if {
	is_number(input.permit_last_day)
	input.clock.today <= input.permit_last_day
}
