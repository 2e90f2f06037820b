package tests.base.crew.emergency

import data.checks.base.crew.emergency

numbers := {"emergency_number": "911", "gas_number": "555 0100", "site_address": "Mill Road at Creek Lane"}

test_pass if emergency.pass with input as numbers

test_no_emergency_number if not emergency.pass with input as object.remove(numbers, ["emergency_number"])

test_no_gas_number if not emergency.pass with input as object.remove(numbers, ["gas_number"])

test_no_address if not emergency.pass with input as object.remove(numbers, ["site_address"])

test_blank_emergency_number if not emergency.pass with input as object.union(numbers, {"emergency_number": " "})

test_blank_gas_number if not emergency.pass with input as object.union(numbers, {"gas_number": " "})

test_blank_address if not emergency.pass with input as object.union(numbers, {"site_address": " "})

test_number_is_no_text if not emergency.pass with input as object.union(numbers, {"emergency_number": 911})

test_gas_number_is_no_text if not emergency.pass with input as object.union(numbers, {"gas_number": 911})

test_yes_is_no_address if not emergency.pass with input as object.union(numbers, {"site_address": true})
