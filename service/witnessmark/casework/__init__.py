"""The whole job: requests cut from the case document, what stands open, the timeline, the report."""
