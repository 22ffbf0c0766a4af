"""Court-form items as dated data, and the paragraph map that ties them to the numbers of an agreement."""
