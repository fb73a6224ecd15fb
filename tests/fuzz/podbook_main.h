/* Included before every file of the program, whose main then is a function like others. */
#ifndef PB_TESTS_PODBOOK_MAIN_H
#define PB_TESTS_PODBOOK_MAIN_H

int podbook_main(int argc, char **argv);
#define main podbook_main

#endif
