package tests.base.signoff.two_people

import data.checks.base.signoff.two_people

params := {"signoff": {"people": 2, "roles": 2}}

signed(people, roles) := {"signing": {"people": people, "roles": roles}}

test_pass_two if two_people.pass with input as signed(2, 2) with data.params as params

test_pass_three if two_people.pass with input as signed(3, 3) with data.params as params

test_stop_one_person if not two_people.pass with input as signed(1, 2) with data.params as params

test_stop_one_role if not two_people.pass with input as signed(2, 1) with data.params as params

# Limits that differ, so that neither count is judged by the other's.
three_people := {"signoff": {"people": 3, "roles": 2}}

test_pass_three_people_in_two_roles if two_people.pass with input as signed(3, 2) with data.params as three_people

test_stop_two_people_in_two_roles if not two_people.pass with input as signed(2, 2) with data.params as three_people

test_people_not_known if not two_people.pass with input as {"signing": {"roles": 2}} with data.params as params

test_roles_not_known if not two_people.pass with input as {"signing": {"people": 2}} with data.params as params

test_people_as_text if not two_people.pass with input as signed("two", 2) with data.params as params

test_roles_as_text if not two_people.pass with input as signed(2, "two") with data.params as params

test_no_limits if not two_people.pass with input as signed(2, 2) with data.params as {}
