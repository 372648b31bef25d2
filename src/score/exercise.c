#include "evenhand/exercise.h"
typedef int score_stub;
