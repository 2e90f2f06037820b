# METADATA
# title: "Far enough from overhead power lines"
# description: "No overhead power line is near, or no part of rig, boom or load can come closer to it than the table for its voltage says."
# related_resources:
# - ref: "29 CFR 1926.1408 Table A"
#   description: "OSHA, minimum clearances; it stands in the crane subpart and is chosen here because it is stricter at most voltages than the general rule for equipment"
# - ref: "29 CFR 1926.600(a)(6)"
#   description: "OSHA, the general rule for equipment near power lines, from memory"
# custom:
#   id: "crew.overhead_lines"
#   order: 250
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: "chosen"
#   title:
#     es: "Distancia suficiente a líneas eléctricas aéreas"
#   stop:
#     en: "The line of {overhead_kv} is {overhead_distance} off; needed are {params.crew.clearance_to_50kv} up to {params.crew.voltage_50kv}; {params.crew.clearance_to_200kv} up to {params.crew.voltage_200kv}; {params.crew.clearance_to_350kv} up to {params.crew.voltage_350kv}; {params.crew.clearance_to_500kv} up to {params.crew.voltage_500kv}; {params.crew.clearance_to_750kv} up to {params.crew.voltage_750kv}; {params.crew.clearance_to_1000kv} up to {params.crew.voltage_1000kv}; above that the owner of the line must set it."
#     es: "La línea de {overhead_kv} está a {overhead_distance}; se necesitan {params.crew.clearance_to_50kv} hasta {params.crew.voltage_50kv}; {params.crew.clearance_to_200kv} hasta {params.crew.voltage_200kv}; {params.crew.clearance_to_350kv} hasta {params.crew.voltage_350kv}; {params.crew.clearance_to_500kv} hasta {params.crew.voltage_500kv}; {params.crew.clearance_to_750kv} hasta {params.crew.voltage_750kv}; {params.crew.clearance_to_1000kv} hasta {params.crew.voltage_1000kv}; arriba de eso el dueño de la línea debe fijarla."
#   why:
#     en: "A boom or a rod need not touch a line, for high voltage jumps the gap. The table is law for cranes and is chosen here for drills and excavators because it is the stricter one."
#     es: "Una pluma o una barra no tiene que tocar la línea, porque el alto voltaje salta el hueco. La tabla es ley para grúas y aquí se eligió para perforadoras y excavadoras por ser la más estricta."
#   remedy:
#     en: "Move the rig, or have the owner of the line switch it off and ground it."
#     es: "Mueve la máquina, o que el dueño de la línea la desconecte y la aterrice."
#   asks:
#   - id: "overhead_line"
#     kind: "yesno"
#     label:
#       en: "power line overhead"
#       es: "línea eléctrica arriba"
#     prompt:
#       en: "Is there any power line overhead that a boom, rod or pipe could come near?"
#       es: "¿Hay alguna línea eléctrica arriba a la que se pueda acercar una pluma, barra o tubo?"
#   - id: "overhead_kv"
#     kind: "voltage"
#     label:
#       en: "its voltage"
#       es: "su voltaje"
#     unit: "kV"
#     min: "0.1 kV"
#     max: "1500 kV"
#     outside: "ask"
#     together: "overhead"
#     lead:
#       en: "How many kV is that line (ask its owner, do not guess), and how close can boom, rod or pipe come to it at worst?"
#       es: "¿De cuántos kV es esa línea (pregunta al dueño, no adivines), y qué tan cerca puede llegar la pluma, barra o tubo en el peor caso?"
#     prompt:
#       en: "How many kV is it? Ask its owner; do not guess."
#       es: "¿De cuántos kV es? Pregunta al dueño; no adivines."
#   - id: "overhead_distance"
#     kind: "length"
#     label:
#       en: "closest that anything comes to it"
#       es: "lo más que algo se le acerca"
#     unit: "ft"
#     min: "0 ft"
#     max: "1000 ft"
#     outside: "ask"
#     together: "overhead"
#     prompt:
#       en: "How close can boom, rod or pipe come to it at worst?"
#       es: "¿Qué tan cerca puede llegar la pluma, barra o tubo en el peor caso?"
package checks.base.crew.overhead_lines

exempt if input.overhead_line == false

pass if {
	is_number(input.overhead_kv)
	is_number(input.overhead_distance)
	input.overhead_kv <= data.params.crew.voltage_50kv_mv
	input.overhead_distance >= data.params.crew.clearance_to_50kv_um
}

pass if {
	is_number(input.overhead_distance)
	input.overhead_kv > data.params.crew.voltage_50kv_mv
	input.overhead_kv <= data.params.crew.voltage_200kv_mv
	input.overhead_distance >= data.params.crew.clearance_to_200kv_um
}

pass if {
	is_number(input.overhead_distance)
	input.overhead_kv > data.params.crew.voltage_200kv_mv
	input.overhead_kv <= data.params.crew.voltage_350kv_mv
	input.overhead_distance >= data.params.crew.clearance_to_350kv_um
}

pass if {
	is_number(input.overhead_distance)
	input.overhead_kv > data.params.crew.voltage_350kv_mv
	input.overhead_kv <= data.params.crew.voltage_500kv_mv
	input.overhead_distance >= data.params.crew.clearance_to_500kv_um
}

pass if {
	is_number(input.overhead_distance)
	input.overhead_kv > data.params.crew.voltage_500kv_mv
	input.overhead_kv <= data.params.crew.voltage_750kv_mv
	input.overhead_distance >= data.params.crew.clearance_to_750kv_um
}

pass if {
	is_number(input.overhead_distance)
	input.overhead_kv > data.params.crew.voltage_750kv_mv
	input.overhead_kv <= data.params.crew.voltage_1000kv_mv
	input.overhead_distance >= data.params.crew.clearance_to_1000kv_um
}
