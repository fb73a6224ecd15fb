#!/bin/sh
# What is read of a book that somebody has open.
set -eu
podbook --book kept/book.db plant B Ludisia
cp -R kept killed
chmod 444 kept/*
chmod 555 kept
sh reader --book kept/book.db list plants
sh reader --book kept/book.db verify
sh reader --book kept/book.db backup copy.db
chmod 755 kept
chmod 644 kept/*
