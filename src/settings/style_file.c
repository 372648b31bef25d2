typedef int stub;
