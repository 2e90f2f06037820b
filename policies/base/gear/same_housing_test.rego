package tests.base.gear.same_housing

import data.checks.base.gear.same_housing

read(ground, record) := {"housing_on_ground": ground, "housing_serial": record}

test_pass_same if same_housing.pass with input as read("H204", "H204")

test_stop_other if not same_housing.pass with input as read("H205", "H204")

test_not_read if not same_housing.pass with input as {"housing_serial": "H204"}

test_not_on_record if not same_housing.pass with input as {"housing_on_ground": "H204"}

test_both_blank if not same_housing.pass with input as read("", "")

test_numbers_are_no_serials if not same_housing.pass with input as read(204, 204)
