package tests.base.crew.overhead_lines

import data.checks.base.crew.overhead_lines

# Clearances: 29 CFR 1926.1408 Table A (upper voltage of each row included).
# 10 ft is 3048000 um, 15 ft 4572000, 20 ft 6096000, 25 ft 7620000,
# 35 ft 10668000, 45 ft 13716000 (1 ft is 304800 um exactly).
table := {"crew": {
	"voltage_50kv_mv": 50000000,
	"voltage_200kv_mv": 200000000,
	"voltage_350kv_mv": 350000000,
	"voltage_500kv_mv": 500000000,
	"voltage_750kv_mv": 750000000,
	"voltage_1000kv_mv": 1000000000,
	"clearance_to_50kv_um": 3048000,
	"clearance_to_200kv_um": 4572000,
	"clearance_to_350kv_um": 6096000,
	"clearance_to_500kv_um": 7620000,
	"clearance_to_750kv_um": 10668000,
	"clearance_to_1000kv_um": 13716000,
}}

# The same table with the clearance of each row but the last set above that of
# the next: a line must be judged by its own row only.
tightened := {"crew": object.union(table.crew, {
	"clearance_to_50kv_um": 20000000,
	"clearance_to_200kv_um": 19000000,
	"clearance_to_350kv_um": 18000000,
	"clearance_to_500kv_um": 17000000,
	"clearance_to_750kv_um": 16000000,
})}

line(millivolts, distance) := {"overhead_line": true, "overhead_kv": millivolts, "overhead_distance": distance}

test_no_line_overhead if overhead_lines.exempt with input as {"overhead_line": false}

test_line_overhead if not overhead_lines.exempt with input as {"overhead_line": true}

test_line_not_answered if not overhead_lines.exempt with input as {}

test_line_as_text if not overhead_lines.exempt with input as {"overhead_line": "no"}

test_nobody_said_how_far if {
	not overhead_lines.pass with input as {"overhead_line": true, "overhead_kv": 12000000} with data.params as table
}

test_nobody_said_how_many_volts if {
	not overhead_lines.pass with input as {"overhead_line": true, "overhead_distance": 99000000} with data.params as table
}

test_volts_null if not overhead_lines.pass with input as line(null, 99000000) with data.params as table

test_volts_as_text if not overhead_lines.pass with input as line("50 kV", 99000000) with data.params as table

test_no_table if not overhead_lines.pass with input as line(12000000, 99000000) with data.params as {}

test_50_kv_at_its_clearance if overhead_lines.pass with input as line(50000000, 3048000) with data.params as table

test_50_kv_a_hair_closer if not overhead_lines.pass with input as line(50000000, 3047999) with data.params as table

test_50_kv_farther_off if overhead_lines.pass with input as line(50000000, 3048001) with data.params as table

test_50_kv_distance_as_text if not overhead_lines.pass with input as line(50000000, "far") with data.params as table

test_200_kv_at_its_clearance if overhead_lines.pass with input as line(200000000, 4572000) with data.params as table

test_200_kv_a_hair_closer if not overhead_lines.pass with input as line(200000000, 4571999) with data.params as table

test_200_kv_farther_off if overhead_lines.pass with input as line(200000000, 4572001) with data.params as table

test_200_kv_distance_as_text if not overhead_lines.pass with input as line(200000000, "far") with data.params as table

test_just_over_50_kv_at_the_next_clearance if overhead_lines.pass with input as line(50001000, 4572000) with data.params as table

test_just_over_50_kv_at_the_clearance_below if not overhead_lines.pass with input as line(50001000, 3048000) with data.params as table

test_one_millivolt_over_50_kv if not overhead_lines.pass with input as line(50000001, 4571999) with data.params as table

test_50_kv_is_not_judged_by_the_row_above if not overhead_lines.pass with input as line(50000000, 19999999) with data.params as tightened

test_350_kv_at_its_clearance if overhead_lines.pass with input as line(350000000, 6096000) with data.params as table

test_350_kv_a_hair_closer if not overhead_lines.pass with input as line(350000000, 6095999) with data.params as table

test_350_kv_farther_off if overhead_lines.pass with input as line(350000000, 6096001) with data.params as table

test_350_kv_distance_as_text if not overhead_lines.pass with input as line(350000000, "far") with data.params as table

test_just_over_200_kv_at_the_next_clearance if overhead_lines.pass with input as line(200001000, 6096000) with data.params as table

test_just_over_200_kv_at_the_clearance_below if not overhead_lines.pass with input as line(200001000, 4572000) with data.params as table

test_one_millivolt_over_200_kv if not overhead_lines.pass with input as line(200000001, 6095999) with data.params as table

test_200_kv_is_not_judged_by_the_row_above if not overhead_lines.pass with input as line(200000000, 18999999) with data.params as tightened

test_500_kv_at_its_clearance if overhead_lines.pass with input as line(500000000, 7620000) with data.params as table

test_500_kv_a_hair_closer if not overhead_lines.pass with input as line(500000000, 7619999) with data.params as table

test_500_kv_farther_off if overhead_lines.pass with input as line(500000000, 7620001) with data.params as table

test_500_kv_distance_as_text if not overhead_lines.pass with input as line(500000000, "far") with data.params as table

test_just_over_350_kv_at_the_next_clearance if overhead_lines.pass with input as line(350001000, 7620000) with data.params as table

test_just_over_350_kv_at_the_clearance_below if not overhead_lines.pass with input as line(350001000, 6096000) with data.params as table

test_one_millivolt_over_350_kv if not overhead_lines.pass with input as line(350000001, 7619999) with data.params as table

test_350_kv_is_not_judged_by_the_row_above if not overhead_lines.pass with input as line(350000000, 17999999) with data.params as tightened

test_750_kv_at_its_clearance if overhead_lines.pass with input as line(750000000, 10668000) with data.params as table

test_750_kv_a_hair_closer if not overhead_lines.pass with input as line(750000000, 10667999) with data.params as table

test_750_kv_farther_off if overhead_lines.pass with input as line(750000000, 10668001) with data.params as table

test_750_kv_distance_as_text if not overhead_lines.pass with input as line(750000000, "far") with data.params as table

test_just_over_500_kv_at_the_next_clearance if overhead_lines.pass with input as line(500001000, 10668000) with data.params as table

test_just_over_500_kv_at_the_clearance_below if not overhead_lines.pass with input as line(500001000, 7620000) with data.params as table

test_one_millivolt_over_500_kv if not overhead_lines.pass with input as line(500000001, 10667999) with data.params as table

test_500_kv_is_not_judged_by_the_row_above if not overhead_lines.pass with input as line(500000000, 16999999) with data.params as tightened

test_1000_kv_at_its_clearance if overhead_lines.pass with input as line(1000000000, 13716000) with data.params as table

test_1000_kv_a_hair_closer if not overhead_lines.pass with input as line(1000000000, 13715999) with data.params as table

test_1000_kv_farther_off if overhead_lines.pass with input as line(1000000000, 13716001) with data.params as table

test_1000_kv_distance_as_text if not overhead_lines.pass with input as line(1000000000, "far") with data.params as table

test_just_over_750_kv_at_the_next_clearance if overhead_lines.pass with input as line(750001000, 13716000) with data.params as table

test_just_over_750_kv_at_the_clearance_below if not overhead_lines.pass with input as line(750001000, 10668000) with data.params as table

test_one_millivolt_over_750_kv if not overhead_lines.pass with input as line(750000001, 13715999) with data.params as table

test_750_kv_is_not_judged_by_the_row_above if not overhead_lines.pass with input as line(750000000, 15999999) with data.params as tightened

test_12_kv_at_ten_feet if overhead_lines.pass with input as line(12000000, 3048000) with data.params as table

test_12_kv_a_hair_closer if not overhead_lines.pass with input as line(12000000, 3047999) with data.params as table

test_345_kv_at_twenty_feet if overhead_lines.pass with input as line(345000000, 6096000) with data.params as table

test_345_kv_a_hair_closer if not overhead_lines.pass with input as line(345000000, 6095999) with data.params as table

test_1001_kv_has_no_number if not overhead_lines.pass with input as line(1001000000, 999000000) with data.params as table

test_one_millivolt_over_1000_kv_has_no_number if not overhead_lines.pass with input as line(1000000001, 999000000) with data.params as table
