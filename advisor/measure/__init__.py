"""What is read out of a picture or a shape: jars in a photograph, the area of a solid or of a part's sides."""
