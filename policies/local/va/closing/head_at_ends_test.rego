package tests.va.closing.head_at_ends

import data.checks.va.closing.head_at_ends

test_pass_seen if head_at_ends.pass with input as {"head_at_ends": true}

test_stop_not_seen if not head_at_ends.pass with input as {"head_at_ends": false}

test_not_answered if not head_at_ends.pass with input as {}

test_text_is_no_answer if not head_at_ends.pass with input as {"head_at_ends": "yes"}
