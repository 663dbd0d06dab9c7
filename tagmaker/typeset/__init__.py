"""Words and symbols laid out in millimetres; knows no box, no port and no job."""
