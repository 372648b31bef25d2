/* From a run that a property fails on to a smaller one, as files. */
#ifndef TESTS_PROPERTIES_SHRINK_H
#define TESTS_PROPERTIES_SHRINK_H

#include "property.h"

/* Takes hits and bars out of SAMPLE as long as PROPERTY still fails on it. */
void shrink(const struct property *property, struct sample *sample);

#endif
