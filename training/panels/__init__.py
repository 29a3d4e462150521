"""A panel of judges says what a just-competent person would get right, and so where a paper's pass mark belongs."""
