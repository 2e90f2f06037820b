package tests.base.signoff.locating_hand

import data.checks.base.signoff.locating_hand

test_pass_signed if locating_hand.pass with input as {"signing": {"locating_hand": true}}

test_stop_not_signed if not locating_hand.pass with input as {"signing": {"locating_hand": false}}

test_not_answered if not locating_hand.pass with input as {}

test_text_is_no_answer if not locating_hand.pass with input as {"signing": {"locating_hand": "yes"}}
