//go:build !linux

package main

// largePages does nothing: such systems choose the size of pages themselves.
func largePages(int) {}
