package tests.base.signoff.roles_needed

import data.checks.base.signoff.roles_needed

one := {"signoff": {"roles_needed": ["locating_hand"]}}

two := {"signoff": {"roles_needed": ["foreman", "locating_hand"]}}

signed(roles) := {"signing": {"signed_as": roles}}

test_pass_the_one if roles_needed.pass with input as signed(["drill_operator", "locating_hand"]) with data.params as one

test_pass_both if roles_needed.pass with input as signed(["foreman", "locating_hand"]) with data.params as two

test_stop_another if not roles_needed.pass with input as signed(["drill_operator", "foreman"]) with data.params as one

test_stop_one_of_two if not roles_needed.pass with input as signed(["drill_operator", "locating_hand"]) with data.params as two

test_stop_nobody if not roles_needed.pass with input as signed([]) with data.params as one

test_stop_no_role_is_needed if {
	not roles_needed.pass with input as signed(["locating_hand"]) with data.params as {"signoff": {"roles_needed": []}}
}

test_not_signed if not roles_needed.pass with input as {} with data.params as one

test_as_text if not roles_needed.pass with input as signed("locating_hand") with data.params as one

test_no_limit if not roles_needed.pass with input as signed(["locating_hand"]) with data.params as {}
