package tests.base.gear.transmitter_battery

import data.checks.base.gear.transmitter_battery

hours(run, needed) := {"derived": {"transmitter_run_s": run, "hours_needed_s": needed}}

test_pass_longer if transmitter_battery.pass with input as hours(36001, 36000)

test_pass_just_enough if transmitter_battery.pass with input as hours(36000, 36000)

test_stop_a_second_short if not transmitter_battery.pass with input as hours(35999, 36000)

test_run_not_known if not transmitter_battery.pass with input as {"derived": {"hours_needed_s": 36000}}

test_need_not_known if not transmitter_battery.pass with input as {"derived": {"transmitter_run_s": 36000}}

test_run_as_text if not transmitter_battery.pass with input as hours("10 h", 36000)

test_need_null if not transmitter_battery.pass with input as hours(36000, null)
