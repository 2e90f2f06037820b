package tests.base.gear.link

import data.checks.base.gear.link

test_pass_linked if link.pass with input as {"receiver_linked": true}

test_pass_not_linked if link.pass with input as {"receiver_linked": false}

test_not_answered if not link.pass with input as {}

test_text_is_no_answer if not link.pass with input as {"receiver_linked": "no"}
