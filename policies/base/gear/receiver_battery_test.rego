package tests.base.gear.receiver_battery

import data.checks.base.gear.receiver_battery

hours(run, needed) := {"derived": {"receiver_run_s": run, "hours_needed_s": needed}}

test_pass_longer if receiver_battery.pass with input as hours(36001, 36000)

test_pass_just_enough if receiver_battery.pass with input as hours(36000, 36000)

test_stop_a_second_short if not receiver_battery.pass with input as hours(35999, 36000)

test_run_not_known if not receiver_battery.pass with input as {"derived": {"hours_needed_s": 36000}}

test_need_not_known if not receiver_battery.pass with input as {"derived": {"receiver_run_s": 36000}}

test_run_as_text if not receiver_battery.pass with input as hours("10 h", 36000)

test_need_null if not receiver_battery.pass with input as hours(36000, null)
