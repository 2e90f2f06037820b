package tests.base.gear.grade

import data.checks.base.gear.grade

graded(percent, tolerance, doubt) := {
	"planned_length": 73152000, "grade_wanted": true, "grade": percent, "grade_tolerance": tolerance,
	"derived": {"grade_doubt_ppm": doubt},
}

test_exempt_without_a_grade if grade.exempt with input as {"planned_length": 73152000, "grade_wanted": false}

test_not_exempt_with_a_grade if not grade.exempt with input as {"planned_length": 73152000, "grade_wanted": true}

test_not_exempt_without_an_answer if not grade.exempt with input as {"planned_length": 73152000}

test_not_exempt_on_a_text if not grade.exempt with input as {"planned_length": 73152000, "grade_wanted": "no"}

test_not_exempt_without_a_length if not grade.exempt with input as {"grade_wanted": false}

test_not_exempt_on_a_length_as_text if not grade.exempt with input as {"planned_length": "240 ft", "grade_wanted": false}

test_pass_inside if grade.pass with input as graded(-4000, 1000, 707)

test_pass_upward if grade.pass with input as graded(4000, 1000, 707)

test_stop_at_the_tolerance if not grade.pass with input as graded(-4000, 707, 707)

test_pass_under_the_tolerance if grade.pass with input as graded(-4000, 708, 707)

test_stop_at_the_grade_itself if not grade.pass with input as graded(-707, 1000, 707)

test_pass_under_the_grade_itself if grade.pass with input as graded(-708, 1000, 707)

test_stop_without_a_grade if not grade.pass with input as object.union(graded(-4000, 1000, 707), {"grade_wanted": false})

test_grade_as_text if not grade.pass with input as graded("0.4 %", 1000, 707)

test_tolerance_as_text if not grade.pass with input as graded(-4000, "0.1 %", 707)

test_doubt_as_text if not grade.pass with input as graded(-4000, 1000, "0.07 %")

test_doubt_as_nothing if not grade.pass with input as graded(-4000, 1000, null)

test_not_known if not grade.pass with input as {}
