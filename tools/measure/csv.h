/* The results as tables for other programs: comma-separated, one line of headings. */
#ifndef MEASURE_CSV_H
#define MEASURE_CSV_H

#include "cells.h"

/* Writes align.csv, detect.csv and clean.csv into FOLDER, which exists. False with a message on
 * standard error. */
bool csv_write(const struct cells *cells, const char *folder);

#endif
