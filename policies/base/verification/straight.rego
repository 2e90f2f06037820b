# METADATA
# title: "The three readings lie on one line"
# description: "Near mark, baseline and far mark together bend no more than tape and display explain."
# related_resources:
# - ref: "derived"
#   description: "The near reading less twice the baseline plus the far reading is zero for any wrong scale or zero point; noise and metal leave a bend"
# custom:
#   id: "verification.straight"
#   order: 650
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   each: "frequency"
#   status: "chosen"
#   title:
#     es: "Las tres lecturas quedan en una recta"
#   stop:
#     en: "{frequency}: the readings bend by {frequency.derived.curvature}; tape and display explain no more than {frequency.derived.curvature_expanded}."
#     es: "{frequency}: las lecturas se doblan {frequency.derived.curvature}; cinta y pantalla explican no más de {frequency.derived.curvature_expanded}."
#   why:
#     en: "A wrong scale or a wrong zero point keeps the three readings on a straight line. What bends them is noise or metal, and both get worse with depth."
#     es: "Una mala escala o un mal cero dejan las tres lecturas en una recta. Lo que las dobla es ruido o metal, y los dos empeoran con la profundidad."
#   remedy:
#     en: "Look for metal and other transmitters near the line, then calibrate {frequency} again."
#     es: "Busca metal y otros transmisores cerca de la línea, y calibra {frequency} otra vez."
package checks.base.verification.straight

# Where a mark does not read true, its own check says so, and two sentences
# about one pair of readings help nobody.
exempt if {
	is_number(input.frequency.derived.near_error_um)
	is_number(input.frequency.derived.near_expanded_um)
	is_number(input.frequency.derived.near_tolerance_um)
	abs(input.frequency.derived.near_error_um) + input.frequency.derived.near_expanded_um > input.frequency.derived.near_tolerance_um
}

exempt if {
	is_number(input.frequency.derived.far_error_um)
	is_number(input.frequency.derived.far_expanded_um)
	is_number(input.frequency.derived.far_tolerance_um)
	abs(input.frequency.derived.far_error_um) + input.frequency.derived.far_expanded_um > input.frequency.derived.far_tolerance_um
}

pass if {
	is_number(input.frequency.derived.curvature_um)
	is_number(input.frequency.derived.curvature_expanded_um)
	abs(input.frequency.derived.curvature_um) <= input.frequency.derived.curvature_expanded_um
}
