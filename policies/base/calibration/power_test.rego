package tests.base.calibration.power

import data.checks.base.calibration.power

levels(downhole, calibrated) := {"frequency": {"downhole_power": downhole, "calibrated_power": calibrated}}

test_pass_both_high if power.pass with input as levels("high", "high")

test_pass_both_low if power.pass with input as levels("low", "low")

test_stop_calibrated_high if not power.pass with input as levels("low", "high")

test_stop_calibrated_low if not power.pass with input as levels("high", "low")

test_downhole_not_given if not power.pass with input as {"frequency": {"calibrated_power": "high"}}

test_calibrated_not_given if not power.pass with input as {"frequency": {"downhole_power": "high"}}

test_both_blank if not power.pass with input as levels("", "")

test_numbers_are_no_levels if not power.pass with input as levels(1, 1)
