"""Files and screens. Computes nothing but placement on paper; reads back every file it wrote."""
