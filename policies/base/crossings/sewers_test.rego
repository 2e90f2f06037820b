package tests.base.crossings.sewers

import data.checks.base.crossings.sewers

test_pass_none_near if sewers.pass with input as {"sewers": "none"}

test_pass_seen if sewers.pass with input as {"sewers": "seen"}

test_stop_unknown if not sewers.pass with input as {"sewers": "unknown"}

test_not_answered if not sewers.pass with input as {}

test_no_is_no_answer if not sewers.pass with input as {"sewers": false}
