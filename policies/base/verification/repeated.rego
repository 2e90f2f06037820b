# METADATA
# title: "Each mark is read often enough"
# description: "Each mark was read as many times as it takes to see how well a reading repeats."
# related_resources:
# - ref: "JCGM 100"
#   description: "JCGM 100:2008, 4.2: how well readings repeat is seen in their scatter, and the doubt of their mean is the scatter over the root of their number"
# - ref: "common practice, no source"
#   description: "Three readings at each mark, moved away and back in between"
# custom:
#   id: "verification.repeated"
#   order: 645
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   each: "frequency"
#   status: "chosen"
#   title:
#     es: "Cada marca se leyó las veces que hace falta"
#   stop:
#     en: "{frequency}: readings at the near mark {frequency.derived.near_count}, at the far mark {frequency.derived.far_count}; {params.verification.readings} are wanted at each."
#     es: "{frequency}: lecturas en la marca cercana {frequency.derived.near_count}, en la lejana {frequency.derived.far_count}; se piden {params.verification.readings} en cada una."
#   good:
#     en: "{frequency}: the mean repeats to {frequency.derived.near_repeat} at the near mark, {frequency.derived.far_repeat} at the far mark."
#     es: "{frequency}: el promedio se repite a {frequency.derived.near_repeat} en la marca cercana, {frequency.derived.far_repeat} en la lejana."
#   why:
#     en: "One reading can be right by luck. Several, each taken afresh, show how well the receiver repeats, and that scatter is counted into the doubt of their mean."
#     es: "Una lectura puede salir bien por suerte. Varias, cada una tomada de nuevo, muestran qué tanto repite el receptor, y esa variación cuenta en la duda de su promedio."
#   remedy:
#     en: "Step away, come back and read again, and give all readings of both marks."
#     es: "Aléjate, regresa y lee otra vez, y da todas las lecturas de las dos marcas."
package checks.base.verification.repeated

pass if {
	is_number(input.frequency.derived.near_count)
	is_number(input.frequency.derived.far_count)
	input.frequency.derived.near_count >= data.params.verification.readings
	input.frequency.derived.far_count >= data.params.verification.readings
}
