package tests.va.tracking.head_in_sight

import data.checks.va.tracking.head_in_sight

test_pass_seen if head_in_sight.pass with input as {"head_in_sight": true}

test_stop_not_seen if not head_in_sight.pass with input as {"head_in_sight": false}

test_not_answered if not head_in_sight.pass with input as {}

test_text_is_no_answer if not head_in_sight.pass with input as {"head_in_sight": "yes"}
