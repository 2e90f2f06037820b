package tests.base.ticket.marks_match

import data.checks.base.ticket.marks_match

test_pass_marks_match if marks_match.pass with input as {"marks_match": true}

test_stop_marks_differ if not marks_match.pass with input as {"marks_match": false}

test_not_answered if not marks_match.pass with input as {}

test_text_is_no_answer if not marks_match.pass with input as {"marks_match": "yes"}
