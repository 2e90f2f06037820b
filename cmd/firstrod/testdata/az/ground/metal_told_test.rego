package tests.az.ground.metal_told

import data.checks.az.ground.metal_told

test_pass if metal_told.pass with input as {"metal_distance": 1}

test_stop if not metal_told.pass with input as {"metal_distance": 0}

test_not_answered if not metal_told.pass with input as {}

test_as_text if not metal_told.pass with input as {"metal_distance": "30 ft"}
