package tests.base.ground.metal_baseline

import data.checks.base.ground.metal_baseline

# 30 ft is 9144000 um (1 ft is 304800 um exactly).
params := {"ground": {"standoff_um": 9144000}}

test_pass_more if metal_baseline.pass with input as {"metal_distance": 9144001} with data.params as params

test_pass_at_the_limit if metal_baseline.pass with input as {"metal_distance": 9144000} with data.params as params

test_stop_a_hair_less if not metal_baseline.pass with input as {"metal_distance": 9143999} with data.params as params

test_not_known if not metal_baseline.pass with input as {} with data.params as params

test_as_text if not metal_baseline.pass with input as {"metal_distance": "40 ft"} with data.params as params

test_no_limit if not metal_baseline.pass with input as {"metal_distance": 9144000} with data.params as {}
