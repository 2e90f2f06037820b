# METADATA
# title: "A grade can be shown with this set-up"
# description: "Where the bore must hold a grade, what the pitch may be wrong by is less than what the grade may be off by, and less than the grade itself."
# related_resources:
# - ref: "JCGM 106"
#   description: "JCGM 106:2012: where the expanded uncertainty is as wide as the tolerance, no reading can show that it is kept"
# - ref: "JCGM 100"
#   description: "JCGM 100:2008, 4.3.7: a display step is known to half of it either way"
# custom:
#   id: "gear.grade"
#   order: 385
#   severity: "stop"
#   gate: "release"
#   waivable: true
#   status: "chosen"
#   title:
#     es: "Con este equipo se puede mostrar la pendiente"
#   stop:
#     en: "This set-up cannot show the grade: pitch may be wrong by {derived.grade_doubt}, of which the zero is {derived.pitch_bias}. The grade of {grade} may be off by {grade_tolerance}."
#     es: "Este equipo no puede mostrar la pendiente: la inclinación puede fallar por {derived.grade_doubt}, y de eso el cero es {derived.pitch_bias}. La pendiente de {grade} puede desviarse {grade_tolerance}."
#   good:
#     en: "Grade {grade}: pitch may be wrong by {derived.grade_doubt}, {grade_tolerance} allowed; over {planned_length} that is {derived.grade_drift} of depth."
#     es: "Pendiente {grade}: la inclinación puede fallar por {derived.grade_doubt}, se permite {grade_tolerance}; en {planned_length} son {derived.grade_drift} de profundidad."
#   why:
#     en: "A gravity sewer falls a few tenths of a percent, and a pitch display shows tenths. When the display and its zero may be wrong by more than the grade may, nobody can tell a good bore from a bad one."
#     es: "Un drenaje por gravedad cae unas décimas de por ciento, y la pantalla muestra décimas. Si la pantalla y su cero pueden fallar más que la pendiente, nadie distingue una buena perforación de una mala."
#   remedy:
#     en: "Use a transmitter that shows pitch in finer steps, or zero it better; or agree with the owner on a way that does not hang on pitch."
#     es: "Usa un transmisor que muestre la inclinación en pasos más finos, o ajusta mejor su cero; o acuerda con el dueño otra manera que no dependa de la inclinación."
#   asks:
#   - id: "grade"
#     kind: "percent"
#     label:
#       en: "grade"
#       es: "pendiente"
#     unit: "%"
#     min: "-20 %"
#     max: "20 %"
#     outside: "ask"
#     together: "grade"
#     lead:
#       en: "The grade in percent, what it may be off by either way, and the smallest step that the pitch display shows?"
#       es: "¿La pendiente en por ciento, lo que puede desviarse a cada lado, y el paso más chico que muestra la pantalla de inclinación?"
#     prompt:
#       en: "Which grade must it hold, in percent?"
#       es: "¿Qué pendiente debe llevar, en por ciento?"
#   - id: "grade_tolerance"
#     kind: "percent"
#     label:
#       en: "grade may be off by"
#       es: "la pendiente puede desviarse"
#     unit: "%"
#     min: "0.001 %"
#     max: "10 %"
#     outside: "ask"
#     together: "grade"
#     prompt:
#       en: "What may the grade be off by, either way?"
#       es: "¿Cuánto puede desviarse la pendiente a cada lado?"
#   - id: "pitch_step"
#     kind: "percent"
#     label:
#       en: "smallest step of pitch"
#       es: "paso de la inclinación"
#     unit: "%"
#     min: "0.001 %"
#     max: "2 %"
#     outside: "ask"
#     together: "grade"
#     redo_after: ["gear_change"]
#     prompt:
#       en: "Which is the smallest step that the pitch display shows?"
#       es: "¿Cuál es el paso más chico que muestra la pantalla de inclinación?"
package checks.base.gear.grade

exempt if {
	is_number(input.planned_length)
	input.grade_wanted == false
}

pass if {
	input.grade_wanted == true
	is_number(input.grade)
	is_number(input.grade_tolerance)
	is_number(input.derived.grade_doubt_ppm)
	input.derived.grade_doubt_ppm < input.grade_tolerance
	input.derived.grade_doubt_ppm < abs(input.grade)
}
