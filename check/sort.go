package check

// Sort puts findings in the order in which Check lists them: severity, slug, entity, text. For lists that were put
// together from several sources.
func Sort(list []Finding) { sortFindings(list) }
