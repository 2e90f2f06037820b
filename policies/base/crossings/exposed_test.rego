package tests.base.crossings.exposed

import data.checks.base.crossings.exposed

test_pass_in_sight if exposed.pass with input as {"crossing": {"exposed": true}}

test_stop_not_in_sight if not exposed.pass with input as {"crossing": {"exposed": false}}

test_not_answered if not exposed.pass with input as {}

test_text_is_no_answer if not exposed.pass with input as {"crossing": {"exposed": "yes"}}
