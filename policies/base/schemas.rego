# METADATA
# scope: subpackages
# schemas:
# - input: schema.input
# - data.params: schema.params
package checks
