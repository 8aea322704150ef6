"""What wood is: species, weight, moisture, shrinkage, drying, settling."""
