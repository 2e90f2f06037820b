# METADATA
# title: "The marks match the owners' answers"
# description: "Somebody walked the path, and what is painted and flagged is what the owners have answered."
# related_resources:
# - ref: "20VAC5-309-150"
#   description: "Virginia, requirement for trenchless excavation: a state rule that names the locating device; chosen as a good rule elsewhere too"
# - ref: "49 CFR 196.103"
#   description: "PHMSA, what an excavator must do before and while digging near pipelines"
# - ref: "APWA"
#   description: "Uniform colour code for marking underground utilities"
# custom:
#   id: "ticket.marks_match"
#   order: 130
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: ""
#   title:
#     es: "Las marcas concuerdan con las respuestas"
#   stop:
#     en: "Marks and answers do not match."
#     es: "Las marcas y las respuestas no concuerdan."
#   why:
#     en: "An owner that says marked, with no paint on the ground, means that the paint is somewhere else. Comparing the answers with the ground is the cheapest way to find a missed line. Red is power, yellow gas, oil or steam, orange phone and data, blue drinking water, purple reclaimed water, green sewer; pink is survey and white your own dig."
#     es: "Si un dueño dice que ya marcó y no hay pintura en el suelo, la pintura está en otro lado. Comparar respuestas con el terreno es la forma más barata de hallar una línea olvidada. Rojo es luz, amarillo gas, petróleo o vapor, naranja teléfono y datos, azul agua potable, morado agua reciclada, verde drenaje; rosa es topografía y blanco tu propia excavación."
#   remedy:
#     en: "Call the owner whose marks are missing, and wait until they are there."
#     es: "Llama al dueño cuyas marcas faltan, y espera hasta que estén."
#   asks:
#   - id: "marks_match"
#     kind: "yesno"
#     label:
#       en: "marks match the answers"
#       es: "marcas coinciden"
#     redo_after: ["new_shift"]
#     prompt:
#       en: "Walk the path with the ticket. Is every line that an owner says is there painted or flagged?"
#       es: "Camina la ruta con el ticket. ¿Está pintada o con banderas cada línea que un dueño dice que hay?"
package checks.base.ticket.marks_match

pass if input.marks_match == true
