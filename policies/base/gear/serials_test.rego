package tests.base.gear.serials

import data.checks.base.gear.serials

gear := {"receiver_serial": "R1", "transmitter_serial": "T1", "housing_serial": "H1"}

test_pass if serials.pass with input as gear

test_no_receiver if not serials.pass with input as object.remove(gear, ["receiver_serial"])

test_no_transmitter if not serials.pass with input as object.remove(gear, ["transmitter_serial"])

test_no_housing if not serials.pass with input as object.remove(gear, ["housing_serial"])

test_blank_receiver if not serials.pass with input as object.union(gear, {"receiver_serial": " "})

test_blank_transmitter if not serials.pass with input as object.union(gear, {"transmitter_serial": " "})

test_blank_housing if not serials.pass with input as object.union(gear, {"housing_serial": " "})

test_number_is_no_receiver if not serials.pass with input as object.union(gear, {"receiver_serial": 7})

test_number_is_no_transmitter if not serials.pass with input as object.union(gear, {"transmitter_serial": 7})

test_number_is_no_housing if not serials.pass with input as object.union(gear, {"housing_serial": 7})
