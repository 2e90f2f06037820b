package tests.base.signoff.shift_end

import data.checks.base.signoff.shift_end

# 12 h are 43200 s.
params := {"signoff": {"longest_s": 43200}}

ends(at) := {"clock": {"now": 1764000000}, "shift_ends": at}

test_pass_soon if shift_end.pass with input as ends(1764000001) with data.params as params

test_stop_right_now if not shift_end.pass with input as ends(1764000000) with data.params as params

test_stop_in_the_past if not shift_end.pass with input as ends(1763999999) with data.params as params

test_pass_the_longest_shift if shift_end.pass with input as ends(1764043200) with data.params as params

test_stop_a_second_longer if not shift_end.pass with input as ends(1764043201) with data.params as params

test_not_answered if not shift_end.pass with input as {"clock": {"now": 1764000000}} with data.params as params

test_no_clock if not shift_end.pass with input as {"shift_ends": 1764000001} with data.params as params

test_as_text if not shift_end.pass with input as ends("19:30") with data.params as params

test_null if not shift_end.pass with input as ends(null) with data.params as params

test_no_limit if not shift_end.pass with input as ends(1764000001) with data.params as {}
